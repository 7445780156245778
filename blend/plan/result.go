package plan

import (
	"slices"

	"huewright/colour"
	"huewright/internal/fault"
)

// A Plan is what to lay on each area of a piece.
type Plan struct {
	// Choices are the plans that none beats in nearness, grain and coats, one for each step of visibility, the suggested one first. Laying
	// nothing is one of them where no other is nearer.
	Choices []Choice
	// AsGood are other counts that are as good as those of the first choice; none where there is one best.
	AsGood []Choice
	// Single are the best of every coating by itself, by area: those that may be laid first, nearest first.
	Single [][]Option

	by     *planner
	first  *candidate   // the first choice, on the areas that stand for others
	others []*candidate // the same of all Choices, and then of AsGood, as Make found them
}

// Choose returns the plan with another of its choices, or, by a number behind those, one of AsGood, in the place of the suggested one:
// tests and touch-ups then serve that. What is as good as the suggested one is told of that alone. It panics for a number that there is
// not.
func (p *Plan) Choose(i int) *Plan {
	all := slices.Concat(p.Choices, p.AsGood)
	other := *p
	other.first, other.Choices = p.others[i], []Choice{all[i]}
	for n := range p.Choices {
		if n != i {
			other.Choices = append(other.Choices, p.Choices[n])
		}
	}
	if i > 0 {
		other.AsGood = nil
	}
	other.others = nil
	other.Choices[0].Areas = slices.Clone(all[i].Areas)
	return &other
}

// A Choice is one way to colour a piece.
type Choice struct {
	Areas []AreaPlan // in the order of the problem
	Pairs []Pair     // every two areas that are to look alike
	Worst Spread     // the largest difference then: of an area from its target, or of two areas
	Of    [2]string  // those two areas; the second is "" for a target
	Grain float64    // the least share of grain that an area keeps, 0–1; NaN where none has any
	Coats int        // in all
	Value float64    // what is minimised, ΔE00: nearness and the price of the coats
}

// Untouched reports whether a choice lays no coat.
func (c *Choice) Untouched() bool { return c.Coats == 0 }

// An AreaPlan is what to lay on one area.
type AreaPlan struct {
	Name   string
	PartOf string // the area that a spot is part of, whose coats it gets; "" for an area of its own
	// Coats are in order of application; empty when the area is best left as it is, and one of count 0 where it may yet need some.
	Coats   []CoatCount
	Between []fault.Note // what to do between one of Coats and the next, where there is something

	Aim      colour.Lab // the target, or the mean of the areas that are to look alike then; as it will be seen
	ToTarget bool       // Aim is a target
	Before   Spread     // ΔE00 to the aim, as the area is
	After    Spread     // and after the coats
	Lamp     LampView   // After, of the target and the area; zero where Aim is no target
	Within   float64    // probability that After ends within tolerance, 0–1
	Grain    float64    // share of the contrast of the grain that is left, 1 for all; NaN where there is none

	Path    []Step // the area as it is, then after each coat
	OneMore Step   // one coat more: of the last coating, or of the one that comes nearest where none is laid
	// StopAfter is the coat after which to stop and look: the last but one, or one before where the next could overshoot with more than
	// 20 % probability. It is the number of coats where there is one or none.
	StopAfter int

	Reachable bool         // the plan that comes closest ends within tolerance here
	Why       []fault.Note // where it does not: what is left over, why, and what would help; nothing where the layers leave the area out

	bestCounts [][]int      // the best count of each of Coats, by drawn sample
	infeasible []infeasible // orders of two coatings that would come clearly nearer, nearest first; Why names the first
}

// A CoatCount is a coating and how many coats of it.
type CoatCount struct {
	Coating string
	Count   int
	Range   [2]int // holds the best count of 80 of 100 samples; both Count where nothing is drawn
}

// A Spread is a figure's median over the samples and what 80 of 100 of them say of it.
type Spread struct {
	Median    float64
	Low, High float64 // 10 and 90 % quantile
}

// A Step is an area after so many coats in all, as it will be seen.
type Step struct {
	Coats     int
	Coating   string // of the uppermost coat; "" for the area as it is
	Lab       colour.Lab
	PlusMinus float64 // 95 % radius of Lab, ΔE00
	DeltaE    float64 // CIEDE2000 to the aim: the median
	Low, High float64 // of DeltaE, 10 and 90 %
	Grain     float64 // share of the contrast of the grain that is left; NaN where there is none
	Overshoot float64 // probability that the area ends further from the aim with this coat than without it, 0–1
}

// An Option is the best that one coating can do by itself.
type Option struct {
	CoatCount
	Lab      colour.Lab
	DeltaE   Spread     // to the area's target or, without one, to the other area that it then differs from most
	Conflict fault.Note // why it may not be laid on what the area has already; empty when it may
}

// A Pair is two areas that are to look alike, and how far apart they are as they will be seen.
type Pair struct {
	Areas  [2]string
	Before Spread // ΔE00, as they are
	After  Spread // after the coats
	Lamp   LampView
}

// A LampView is how two colours differ after the coats to an eye used to a warm lamp. It comes from likely spectra: a guess.
type LampView struct {
	DeltaE Spread
	Of     [2]colour.Lab // in the best sample; a target is the first
}
