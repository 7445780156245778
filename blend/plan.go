package blend

import (
	"fmt"
	"slices"

	"huewright/colour"
)

// PlanOptions changes how coats are planned.
type PlanOptions struct {
	Tolerance float64 // ΔE00 up to which a target counts as met; 0 means 2.0
	MaxCoats  int     // on one area, of all coatings together, 1–100; 0 means 12
}

// An AreaPlan is what to lay on one area to bring it nearest to a target.
type AreaPlan struct {
	Coats  []CoatCount // in order of application; empty when the area is best left as it is
	Path   []Step      // the area as it is, then after each coat
	Before float64     // ΔE00 to the target as it is
	After  float64     // and after the coats

	Reachable bool     // After is within tolerance
	Why       string   // when it is not: what is left over, why, and what would help
	Beyond    Step     // what one coat more would do: of the last coating, or of the first of Options where none is laid
	Options   []Option // the best of every coating by itself, nearest first; of equals, the one whose first coat strays least
}

// A CoatCount is a coating and how many coats of it.
type CoatCount struct {
	Coating string
	Count   int
}

// A Step is an area's colour after so many coats in all.
type Step struct {
	Coats   int
	Lab     colour.Lab
	DeltaE  float64 // CIEDE2000 to the target
	Coating string  // of the uppermost coat; "" for the area as it is
}

// An Option is the best that one coating can do by itself.
type Option struct {
	CoatCount
	Lab    colour.Lab
	DeltaE float64
}

// PlanArea finds how many coats, of which coating on the shelf, bring an area of colour ground
// nearest to target. Both colours must be of the same state: a bare area is not compared with
// a finished sample.
//
// The nearest end wins, but a coat more that gains no more than 0.1 ΔE00 is not laid. Two
// coatings, one over the other, are only proposed where no single one meets the target and
// the second gains at least 1.0. Coats are whole and all of the strength the coating stands for.
//
// It returns a *PlanError for an empty shelf, an impossible colour or impossible options.
func PlanArea(ground, target colour.Lab, shelf []*Coating, opt PlanOptions) (AreaPlan, error) {
	if err := checkPlan(ground, target, shelf, opt); err != nil {
		return AreaPlan{}, err
	}
	if opt.Tolerance == 0 {
		opt.Tolerance = 2.0
	}
	if opt.MaxCoats == 0 {
		opt.MaxCoats = 12
	}
	a := area{ground, colour.SpectrumOf(ground), target, opt.Tolerance, opt.MaxCoats}
	singles := make([]ending, len(shelf))
	for i, c := range shelf {
		singles[i] = a.bestOf(c)
	}
	slices.SortStableFunc(singles, a.compare)
	best := a.nearest(singles)
	if best.deltaE > opt.Tolerance {
		if stack, ok := a.bestStack(shelf); ok && stack.deltaE <= best.deltaE-stackGain {
			best = stack
		}
	}
	plan := a.walk(best, singles[0].layers[0].coating)
	plan.Reachable = plan.After <= opt.Tolerance
	plan.Options = options(singles)
	if !plan.Reachable {
		plan.Why = a.why(best, shelf)
	}
	return plan, nil
}

func options(singles []ending) []Option {
	all := make([]Option, len(singles))
	for i, e := range singles {
		l := e.layers[0]
		all[i] = Option{CoatCount{l.coating.Name, l.count}, e.lab, e.deltaE}
	}
	return all
}

// walk lays the coats of an ending one by one, and then one more: of next where there are none.
func (a *area) walk(e ending, next *Coating) AreaPlan {
	before := colour.DeltaE2000(a.target, a.lab)
	plan := AreaPlan{Path: []Step{{Lab: a.lab, DeltaE: before}}, Before: before}
	under := a.ground
	coats := 0
	for _, l := range e.layers {
		if l.count == 0 {
			continue
		}
		plan.Coats = append(plan.Coats, CoatCount{l.coating.Name, l.count})
		for n := range l.count {
			coats++
			plan.Path = append(plan.Path, a.step(coats, l.coating, l.coating.Over(&under, float64(n+1))))
		}
		under, next = l.coating.Over(&under, float64(l.count)), l.coating
	}
	plan.After = plan.Path[coats].DeltaE
	plan.Beyond = a.step(coats+1, next, next.Over(&under, 1))
	return plan
}

func (a *area) step(coats int, uppermost *Coating, s colour.Spectrum) Step {
	lab := s.Lab()
	return Step{coats, lab, colour.DeltaE2000(a.target, lab), uppermost.Name}
}

// A PlanError reports a plan that cannot be made.
type PlanError struct{ Problem, Advice string }

func (e *PlanError) Error() string { return e.Problem }

// Hint says what to do about it.
func (e *PlanError) Hint() string { return e.Advice }

func checkPlan(ground, target colour.Lab, shelf []*Coating, opt PlanOptions) error {
	if len(shelf) == 0 {
		return &PlanError{"no coating to plan with", "name at least one coating, with an opaque chip or a test coat"}
	}
	for _, c := range []struct {
		name string
		lab  colour.Lab
	}{{"area", ground}, {"target", target}} {
		if problem := (&Measured{Lab: c.lab}).problem(); problem != "" {
			return &PlanError{c.name + ": " + problem, adviceColour}
		}
	}
	if !(opt.Tolerance >= 0) {
		return &PlanError{fmt.Sprintf("a tolerance of %v", opt.Tolerance), "give a difference in ΔE00, such as 2"}
	}
	if opt.MaxCoats < 0 || opt.MaxCoats > mostPlanned {
		return &PlanError{fmt.Sprintf("at most %d coats", opt.MaxCoats), fmt.Sprintf("give a number of coats from 1 to %d", mostPlanned)}
	}
	return nil
}
