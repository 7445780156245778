package learn

import (
	"fmt"
	"math"
	"strings"

	"huewright/blend"
	"huewright/colour"
)

// Measured is a colour as it was measured, with the 95 % radius of its uncertainty in ΔE00.
type Measured struct {
	// Key says what it is a reading of: readings of one key are one reading, and must be equal. Where
	// it is "", the reading is known by all else about it.
	Key       string
	Lab       colour.Lab
	PlusMinus float64 // 0 means a good reading: a standard deviation of 0.5 in each of L*, a*, b*
	// Photo names the photo it was read from. Readings of one photo share nearly all of their
	// uncertainty, so that they are surer beside one another than each by itself. "" shares
	// with none.
	Photo string
	// Own is the part of PlusMinus that is this reading's alone, where that is known: a 95 %
	// radius. 0 means a tenth of it for a reading with a Photo, and all of it for others.
	Own float64
	// Earlier says that it was read on another piece. Its photo shares nothing with those of this
	// one, whatever is known of those.
	Earlier bool
}

// A Provenance says where coats come from that a coating is learned from.
type Provenance string

// Where coats may come from.
const (
	OfThisPiece    Provenance = ""              // or a test board for it, from the tin to be used
	OfSameBatch    Provenance = "same batch"    // on an earlier piece, from the tin or mix to be used
	OfAnotherBatch Provenance = "another batch" // on an earlier piece, and not of that batch, or not known to be
)

// What coats on an earlier piece may have otherwise than those to be laid: the standard deviation
// of the logarithm of the film, beyond the hand's, and in each of L*, a*, b* of what no film
// foresees, by batch. Common practice has no figures: these are starting values of our own.
var earlier = map[Provenance]struct{ film, misfit float64 }{
	OfSameBatch:    {unevenBoard, 0.7},
	OfAnotherBatch: {0.25, 1.2},
}

// A TestCoat is some coats of a coating laid on a ground of known colour.
type TestCoat struct {
	Ground, Result Measured
	Coats          float64       // more than 0
	Share          float64       // strength of the mix over that of the mix to be planned; 0 means 1, the same
	Surface        blend.Surface // of the ground; "" means sealed
	// Even says that the coats were laid to a known thickness, as with a drawdown bar, and not
	// by hand.
	Even bool
	// OnPiece says that they were laid on the piece itself, and not on a test board: they tell of
	// the coats to come there too.
	OnPiece bool
	From    Provenance
}

// Evidence is what is known about a coating.
type Evidence struct {
	Chip  *Measured // the coating so thick that nothing shows through; nil when there is none
	Tests []TestCoat
	// Shared is the covariance, in L*, a*, b*, of what two readings have wrong about them on
	// account of their photos; of the two, only Lab and Photo count, and it is not asked about
	// readings without a Photo. Readings with one then need their Own. Nil: how photos agree is
	// not known, and Photo alone counts.
	Shared func(a, b Measured) [3][3]float64
}

// thickness is the test's film in coats of the mix to be planned.
func (t *TestCoat) thickness() float64 {
	if t.Share == 0 {
		return t.Coats
	}
	return t.Coats * t.Share
}

// unevenness is the standard deviation of the logarithm of the film that a test's coats left,
// laid in a way: of several coats, some are thicker and some thinner.
func (t *TestCoat) unevenness(p blend.PutOn) float64 {
	if t.Even {
		return 0
	}
	return math.Hypot(p.Unevenness()/math.Sqrt(max(1, t.Coats)), earlier[t.From].film)
}

// A ClearEvidence is what is known of the finish to come.
type ClearEvidence struct {
	Spots []ClearSpot
}

// A ClearSpot is a spot that was measured dry, and again under the clear coat or wetted with
// spirits.
type ClearSpot struct{ Before, After Measured }

// An EvidenceError reports evidence no coating can be learned from.
type EvidenceError struct {
	Coating string // as the user calls it
	Problem string
	Advice  string
}

func (e *EvidenceError) Error() string { return fmt.Sprintf("coating %q: %s", e.Coating, e.Problem) }

// Hint says what to do about it.
func (e *EvidenceError) Hint() string { return e.Advice }

const (
	MaxCoats   = 1000 // in one test: beyond any bench
	mostChroma = 200  // of a colour: beyond any surface
)

// check returns what is impossible in the evidence, or nil.
func (e *Evidence) check(coating string) error {
	fault := func(advice, format string, args ...any) error {
		return &EvidenceError{coating, fmt.Sprintf(format, args...), advice}
	}
	if e.Chip == nil && len(e.Tests) == 0 {
		return fault("lay one coat on the wood, let it dry and measure the wood beside it and the coat", "nothing is known of it")
	}
	if e.Chip != nil {
		if problem := e.Chip.Problem(); problem != "" {
			return fault(AdviceColour, "opaque chip: %s", problem)
		}
	}
	for i, t := range e.Tests {
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
		if _, known := earlier[t.From]; t.From != OfThisPiece && !known {
			return fault("say same batch or another batch", "test coat %d: it comes from %q", i+1, t.From)
		}
		if t.Surface != "" && !t.Surface.Known() {
			return fault("say one of "+strings.Join(blend.Surfaces, ", "), "test coat %d: %q is no surface", i+1, t.Surface)
		}
	}
	return nil
}

const AdviceColour = "measure it again: L* runs from 0 to 100, a* and b* of wood and paint from −100 to 100"

// readings are the chip and the grounds and results of all tests.
func (e *Evidence) readings() []*Measured {
	var all []*Measured
	if e.Chip != nil {
		all = append(all, e.Chip)
	}
	for i := range e.Tests {
		all = append(all, &e.Tests[i].Ground, &e.Tests[i].Result)
	}
	return all
}

// Problem says what is impossible about a measured colour, or nothing.
func (m *Measured) Problem() string {
	switch c := m.Lab; {
	case !c.IsFinite():
		return "its colour is not a number"
	case c.L < 0 || c.L > 100 || math.Hypot(c.A, c.B) > mostChroma:
		return fmt.Sprintf("no surface has the colour %v", c)
	case !(m.PlusMinus >= 0) || math.IsInf(m.PlusMinus, 1):
		return fmt.Sprintf("an uncertainty of %v", m.PlusMinus)
	case !(m.Own >= 0) || math.IsInf(m.Own, 1):
		return fmt.Sprintf("an uncertainty of its own of %v", m.Own)
	}
	return ""
}
