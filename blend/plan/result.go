package plan

import (
	"huewright/colour"
	"huewright/internal/fault"
)

// A Plan is what to lay on each area of a piece.
type Plan struct {
	Areas []AreaPlan // in the order asked; those with a target
	Meet  *MeetPlan  // how the areas without one come together; nil where all have one
}

// An AreaPlan is what to lay on one area to bring it to a target.
type AreaPlan struct {
	Name   string
	Choice            // the suggested one: the balanced one where grain is known, else the closest
	Path   []Step     // the area as it is, then after each coat
	Target colour.Lab // as it will be seen
	Before float64    // ΔE00 to the target as it is
	After  float64    // and after the coats

	Reachable bool         // the closest choice is within tolerance
	Why       []fault.Note // where it is not: what is left over, why, and what would help
	OneMore   Step         // one coat more: of the last coating, or of the first of Options where none is laid

	Choices []Choice // closest first; none of them beats another in both nearness and grain
	// Options are the best of every coating by itself: those that may be laid first, nearest first, and of
	// equals the one whose first coat ends nearest.
	Options []Option

	infeasible []infeasible // orders of two coatings that would come clearly nearer, nearest first; Why tells the first
}

// A Choice is one way to colour an area: how near it comes, and what grain it keeps.
type Choice struct {
	Kind string // "closest", "balanced" or "most grain"
	// Coats are in order of application; empty when the area is best left as it is, and one of
	// count 0 where it may yet need some.
	Coats  []CoatCount
	DeltaE Spread  // to the target, after the coats
	Within float64 // probability of ending within tolerance, 0–1
	Grain  float64 // share of the contrast of the grain that is left, 1 for all; NaN where there is none
	// StopAfter is the coat after which to stop and look: the next could overshoot with more than
	// 20 % probability. It is the number of all coats where none could.
	StopAfter int
	Between   []fault.Note // what to do between one of Coats and the next, where there is something

	bestCounts [][]int // the best count of each of Coats, by drawn sample
}

// The kinds of choice: the nearest end; the nearest that keeps the least grain asked for; and the
// one that keeps most grain while it takes away half of the difference.
const (
	kindClosest   = "closest"
	kindBalanced  = "balanced"
	kindMostGrain = "most grain"
)

// A CoatCount is a coating and how many coats of it.
type CoatCount struct {
	Coating string
	Count   int
	Range   [2]int // holds the best count of 80 of 100 samples; both Count where nothing is drawn
}

// A Spread is a figure in the best sample and what 80 of 100 samples say of it.
type Spread struct {
	Best      float64
	Low, High float64 // 10 and 90 % quantile
}

// A Step is an area after so many coats in all, as it will be seen.
type Step struct {
	Coats     int
	Coating   string // of the uppermost coat; "" for the area as it is
	Lab       colour.Lab
	PlusMinus float64 // 95 % radius of Lab, ΔE00
	DeltaE    float64 // CIEDE2000 to the target
	Low, High float64 // of DeltaE, 10 and 90 %
	Grain     float64 // share of the contrast of the grain that is left; NaN where there is none
	Overshoot float64 // probability that the area ends further from the target with this coat than without it, 0–1
}

// An Option is the best that one coating can do by itself.
type Option struct {
	CoatCount
	Lab      colour.Lab
	DeltaE   float64
	Conflict fault.Note // why it may not be laid on what the area has already; empty when it may
}

// A MeetPlan is how areas without a target come together: which coats on each make the two that
// differ most differ least.
type MeetPlan struct {
	Before   float64      // ΔE00 of the two areas that differ most, as they are
	Choices  []MeetChoice // closest first; none of them beats another in both nearness and grain
	Chosen   int          // the suggested one: the balanced one where grain is known, else the closest
	Together bool         // the suggested one brings all within tolerance of one another
	// Lightest names the darkest area where no coating lightens it and another stays lighter; else "".
	Lightest string
}

// A MeetChoice is one way to bring areas together.
type MeetChoice struct {
	Kind   string // "closest", "balanced" or "most grain"
	Areas  []MeetArea
	Worst  Spread     // ΔE00 of the two areas that then differ most
	Pair   [2]string  // those two
	Pairs  []MeetPair // every two areas
	Common colour.Lab // the mean of all areas then, as it will be seen
	Grain  float64    // the least share of grain that an area keeps; NaN where there is none
}

// A MeetPair is two areas, and how far apart they are as they will be seen.
type MeetPair struct {
	Areas  [2]string
	Before float64 // ΔE00, as they are
	After  Spread  // after the coats
}

// A MeetArea is what is laid on one area so that it meets the others.
type MeetArea struct {
	Name      string
	Coats     []CoatCount
	Path      []Step // the area as it is, then after each coat; ΔE00 to the common colour
	OneMore   Step
	Grain     float64
	StopAfter int // as in Choice

	bestCounts [][]int // as in Choice
}
