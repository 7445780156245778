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
		all = append(all, fault.Say("learn.chip-only"))
	} else if e.Chip == nil && !e.hasContrast() {
		all = append(all, fault.Say("learn.one-ground"))
	}
	for i, t := range e.Tests {
		if d := colour.DeltaE2000(t.Ground.Lab, t.Result.Lab); d < colour.Perceptible {
			all = append(all, fault.Say("learn.nothing-seen", "nr", i+1))
		}
	}
	all = append(all, e.contradictions()...)
	for _, r := range residuals {
		if !r.isOutlier() {
			continue
		}
		difference := colour.DescribeDifference(r.predicted, r.measured)
		if r.test == 0 {
			all = append(all, fault.Say("learn.odd-chip", "difference", difference))
		} else {
			all = append(all, fault.Say("learn.odd-test", "nr", r.test, "difference", difference))
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
				all = append(all, fault.Say("learn.contradiction", "first", j+1, "second", i+1))
			}
		}
	}
	return all
}
