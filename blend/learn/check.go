package learn

import (
	"fmt"
	"math"
	"strings"

	"huewright/blend"
)

const (
	MaxCoats  = 1000 // on one spot: beyond any bench
	maxChroma = 200  // C*ab: beyond any surface
)

// check returns an *InputError for the first impossible part of the data, or nil.
func (d *Dataset) check() error {
	for i := range d.Shelf {
		if err := d.Shelf[i].check(); err != nil {
			return err
		}
	}
	if problem := d.Bias.problem(); problem != "" {
		return &InputError{problem, "leave it out: it is what a log tells of earlier pieces"}
	}
	for i := range d.Clear.Spots {
		if problem := d.Clear.Spots[i].problem(); problem != "" {
			return &InputError{fmt.Sprintf("clear coat: spot %d: %s", i+1, problem), AdviceColour}
		}
	}
	for i := range d.Colours {
		if problem := d.Colours[i].Problem(); problem != "" {
			return &InputError{fmt.Sprintf("colour %d: %s", i+1, problem), AdviceColour}
		}
	}
	return nil
}

func (c *ShelfCoating) check() error {
	fault := func(advice, format string, args ...any) error {
		return &InputError{fmt.Sprintf("coating %q: ", c.Name) + fmt.Sprintf(format, args...), advice}
	}
	switch e := &c.Evidence; {
	case !c.Kind.Known():
		return fault("say one of "+strings.Join(blend.Kinds, ", "), "%q is no kind of coating", c.Kind)
	case c.PutOn != "" && !c.PutOn.Known():
		return fault("say one of "+strings.Join(blend.PutOns, ", "), "%q is no way to put a coating on", c.PutOn)
	case e.Chip == nil && len(e.Tests) == 0:
		return fault("lay one coat on the wood, let it dry and measure the wood beside it and the coat", "nothing is known of it")
	case e.Chip != nil:
		if problem := e.Chip.Problem(); problem != "" {
			return fault(AdviceColour, "opaque chip: %s", problem)
		}
	}
	for i, t := range c.Evidence.Tests {
		if problem := t.Ground.Problem(); problem != "" {
			return fault(AdviceColour, "test coat %d: ground: %s", i+1, problem)
		}
		if problem := t.Result.Problem(); problem != "" {
			return fault(AdviceColour, "test coat %d: result: %s", i+1, problem)
		}
		if !(t.Coats > 0 && t.Coats <= MaxCoats) {
			return fault("give the number of coats that were laid, 1 or more", "test coat %d: %v coats", i+1, t.Coats)
		}
		if x := t.thickness(); !(x > 0 && x <= MaxCoats) {
			return fault("give the paint's share of the test mix over its share of the mix to be planned, 0.5 for half as strong",
				"test coat %d: a mix of %v times the strength", i+1, t.Share)
		}
		if _, known := earlierSD[t.From]; t.From != OfThisPiece && !known {
			return fault("say same batch or another batch", "test coat %d: it comes from %q", i+1, t.From)
		}
		if t.Surface != "" && !t.Surface.Known() {
			return fault("say one of "+strings.Join(blend.Surfaces, ", "), "test coat %d: %q is no surface", i+1, t.Surface)
		}
	}
	return nil
}

// Problem says what is impossible about a measured colour; "" is nothing.
func (m *Measured) Problem() string {
	switch c := m.Lab; {
	case !c.IsFinite():
		return "its colour is not a number"
	case c.L < 0 || c.L > 100 || math.Hypot(c.A, c.B) > maxChroma:
		return fmt.Sprintf("no surface has the colour %v", c)
	case !(m.PlusMinus >= 0) || math.IsInf(m.PlusMinus, 1):
		return fmt.Sprintf("an uncertainty of %v", m.PlusMinus)
	case !(m.Own >= 0) || math.IsInf(m.Own, 1):
		return fmt.Sprintf("an uncertainty of its own of %v", m.Own)
	}
	return ""
}

// problem says what is impossible about a spot; "" is nothing.
func (s *ClearSpot) problem() string {
	for _, m := range []struct {
		name string
		of   *Measured
	}{{"dry", &s.Before}, {"clear-coated", &s.After}} {
		if problem := m.of.Problem(); problem != "" {
			return m.name + ": " + problem
		}
	}
	return ""
}

// problem says what is impossible about an operator bias; "" is nothing.
func (b Bias) problem() string {
	if !(math.Abs(b.Film) <= 3) || !(b.Wider >= 0 && b.Wider <= 10) {
		return fmt.Sprintf("no hand lays %.2f times the film, with ranges %v times as wide", math.Exp(b.Film), b.Wider)
	}
	return ""
}

// AdviceColour is what to do about an impossible colour.
const AdviceColour = "measure it again: L* runs from 0 to 100, a* and b* of wood and paint from −100 to 100"

// An InputError reports what cannot be learned from or planned with.
type InputError struct{ Problem, Advice string }

func (e *InputError) Error() string { return e.Problem }

// Hint says what to do about it.
func (e *InputError) Hint() string { return e.Advice }
