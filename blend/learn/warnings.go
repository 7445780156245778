package learn

import (
	"math"

	"huewright/colour"
	"huewright/internal/fault"
)

const (
	sameWood   = 3.0 // ΔE00 up to which two grounds count as one wood
	otherWood  = 8.0 // ΔE00 from which two grounds tell a coating's hiding from its staining
	clearShift = 2.0 // of L*, beyond what readings of one spot scatter
)

// warnings says what is weak or contradictory about the evidence.
func (e *Evidence) warnings(residuals []residual) []fault.Note {
	var all []fault.Note
	if len(e.Tests) == 0 {
		all = append(all, fault.Saying("known from an opaque chip alone: how much one coat hides is a guess, and counts of coats may be "+
			"wide of the mark; lay one test coat on the wood"))
	} else if e.Chip == nil && !e.hasContrast() {
		all = append(all, fault.Saying("test coats on one colour of ground only: what the coating does on other woods is unsure; "+
			"lay one on a clearly darker or paler wood, or measure the paint so thick that nothing shows through"))
	}
	for i, t := range e.Tests {
		if d := colour.DeltaE2000(t.Ground.Lab, t.Result.Lab); d < colour.Perceptible {
			all = append(all, fault.Saying("test coat %d: result and ground look the same (ΔE00 %.1f): "+
				"either the mix is very thin or one spot was measured twice", i+1, d))
		}
	}
	all = append(all, e.contradictions()...)
	for _, r := range residuals {
		if r.isOutlier() {
			all = append(all, fault.Saying("%s does not agree with the rest: measured, it is %s than what the rest lets expect (ΔE00 %.1f); "+
				"measure it again, or leave it out", r.of, colour.DescribeDifference(r.predicted, r.measured), r.deltaE))
		}
	}
	return all
}

// hasContrast reports whether two test coats lie on clearly different grounds.
func (e *Evidence) hasContrast() bool {
	for i := range e.Tests {
		for j := range i {
			if colour.DeltaE2000(e.Tests[i].Ground.Lab, e.Tests[j].Ground.Lab) >= otherWood {
				return true
			}
		}
	}
	return false
}

// contradictions finds pairs of test coats on one wood of which one lightens it and the other
// darkens it: a coating moves a ground towards its own limit and never back.
func (e *Evidence) contradictions() (all []fault.Note) {
	shift := func(t TestCoat) float64 { return t.Result.Lab.L - t.Ground.Lab.L }
	for i := range e.Tests {
		for j := range i {
			t, u := e.Tests[j], e.Tests[i]
			if colour.DeltaE2000(t.Ground.Lab, u.Ground.Lab) > sameWood {
				continue
			}
			if a, b := shift(t), shift(u); a*b < 0 && min(math.Abs(a), math.Abs(b)) > clearShift {
				all = append(all, fault.Saying("test coats %d and %d contradict each other: one lightens this wood (L* %+.1f), "+
					"the other darkens it (L* %+.1f); see whether two names or two spots were exchanged", j+1, i+1, max(a, b), min(a, b)))
			}
		}
	}
	return all
}
