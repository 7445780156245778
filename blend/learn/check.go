package learn

import (
	"math"
	"slices"

	"huewright/blend"
	"huewright/internal/fault"
)

const (
	MaxCoats  = 1000 // on one spot: beyond any bench
	maxChroma = 200  // C*ab: beyond any surface
)

// check returns the fault of the first impossible part of the data, or nil.
func (d *Dataset) check() error {
	for i := range d.Shelf {
		if err := d.Shelf[i].check(); err != nil {
			return err
		}
		if err := d.checkParts(&d.Shelf[i]); err != nil {
			return err
		}
	}
	if problem := d.Bias.problem(); !problem.Empty() {
		return fault.New(fault.Use, "learn.bad-bias", "problem", problem)
	}
	for i := range d.Clear.Spots {
		if problem := d.Clear.Spots[i].problem(); !problem.Empty() {
			return fault.New(fault.Use, "learn.bad-clear-spot", "nr", i+1, "problem", problem)
		}
	}
	for i := range d.Colours {
		if problem := d.Colours[i].Problem(); !problem.Empty() {
			return fault.New(fault.Use, "learn.bad-colour", "nr", i+1, "problem", problem)
		}
	}
	return nil
}

// checkParts returns the fault of the first impossible part of a mix, or nil.
func (d *Dataset) checkParts(c *ShelfCoating) error {
	for i, p := range c.Parts {
		at := slices.IndexFunc(d.Shelf, func(k ShelfCoating) bool { return k.Name == p.Coating })
		twice := slices.ContainsFunc(c.Parts[:i], func(o MixedPart) bool { return o.Coating == p.Coating })
		if at < 0 || twice || len(d.Shelf[at].Parts) > 0 || !(p.Parts > 0) || math.IsInf(p.Parts, 1) {
			return fault.In(fault.New(fault.Use, "learn.bad-part", "part", p.Coating), fault.Place{Area: c.Name})
		}
	}
	return nil
}

func (c *ShelfCoating) check() error {
	refuse := func(code fault.Code, values ...any) error {
		return fault.In(fault.New(fault.Use, code, values...), fault.Place{Area: c.Name})
	}
	switch e := &c.Evidence; {
	case !c.Kind.Known():
		return refuse("learn.choice", "value", string(c.Kind), "allowed", blend.Kinds)
	case c.PutOn != "" && !c.PutOn.Known():
		return refuse("learn.choice", "value", string(c.PutOn), "allowed", blend.PutOns)
	case e.Chip == nil && len(e.Tests) == 0:
		return refuse("learn.nothing-known")
	case e.Chip != nil:
		if problem := e.Chip.Problem(); !problem.Empty() {
			return refuse("learn.bad-chip", "problem", problem)
		}
	}
	for i, t := range c.Evidence.Tests {
		if problem := t.Ground.Problem(); !problem.Empty() {
			return refuse("learn.bad-ground", "nr", i+1, "problem", problem)
		}
		if problem := t.Result.Problem(); !problem.Empty() {
			return refuse("learn.bad-result", "nr", i+1, "problem", problem)
		}
		if !(t.Coats > 0 && t.Coats <= MaxCoats) {
			return refuse("learn.bad-coats", "nr", i+1, "value", t.Coats, "high", MaxCoats)
		}
		if x := t.thickness(); !(x > 0 && x <= MaxCoats) {
			return refuse("learn.bad-strength", "nr", i+1, "value", t.Share)
		}
		if _, known := earlierSD[t.From]; t.From != OfThisPiece && !known {
			return refuse("learn.choice", "value", string(t.From), "allowed", []string{string(OfSameBatch), string(OfAnotherBatch)})
		}
		if t.Surface != "" && !t.Surface.Known() {
			return refuse("learn.choice", "value", string(t.Surface), "allowed", blend.Surfaces)
		}
	}
	return nil
}

// Problem is what is impossible about a measured colour; the empty note where nothing is.
func (m *Measured) Problem() fault.Note {
	switch c := m.Lab; {
	case !c.IsFinite():
		return fault.Say("learn.no-number")
	case c.L < 0 || c.L > 100 || math.Hypot(c.A, c.B) > maxChroma:
		return fault.Say("learn.no-such-colour", "L", c.L, "a", c.A, "b", c.B)
	case !(m.PlusMinus >= 0) || math.IsInf(m.PlusMinus, 1):
		return fault.Say("learn.no-such-error", "value", m.PlusMinus)
	case !(m.Own >= 0) || math.IsInf(m.Own, 1):
		return fault.Say("learn.no-such-error", "value", m.Own)
	}
	return fault.Note{}
}

// problem is what is impossible about a spot; the empty note where nothing is.
func (s *ClearSpot) problem() fault.Note {
	if problem := s.Before.Problem(); !problem.Empty() {
		return problem
	}
	return s.After.Problem()
}

// problem is what is impossible about an operator bias; the empty note where nothing is.
func (b Bias) problem() fault.Note {
	if !(math.Abs(b.Film) <= 3) || !(b.Wider >= 0 && b.Wider <= 10) {
		return fault.Say("learn.no-such-bias", "film", math.Exp(b.Film), "wider", b.Wider)
	}
	return fault.Note{}
}
