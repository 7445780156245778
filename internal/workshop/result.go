package workshop

import (
	"slices"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/blend/plan"
	"huewright/blend/schedule"
	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// A PlanResult is the piece measured, its coatings learned, and the coats of each area.
type PlanResult struct {
	Piece    piece.Piece
	Photos   []PhotoCalibration
	Coatings []LearnedCoating
	Areas    []AreaPlan
	Choices  []plan.Choice // what may be done, the suggested first: see plan.Plan
	AsGood   []plan.Choice // other counts, as good as the suggested ones
	WhatIf   *WhatIf       // what comes of coats that somebody named; nil where nobody did
	// Suggested is what the plan suggests, in a result that shows other coats; else nil. See AsAsked.
	Suggested *plan.Choice
	Chosen    bool              // the first choice is one that somebody took in the place of the suggested one
	TouchUps  []plan.TouchUp    // what to touch spots up with first; none where there is no spot
	Mix       *plan.MixAnswer   // what could be mixed from the shelf instead
	Batches   []schedule.Batch  // how much of each coating that takes
	Tests     []plan.TestAdvice // tests that would bring the end nearer, the best first; none where none does
	// Candidates are the coatings that might be bought, ranked; nil where the piece names none.
	Candidates *plan.Candidates
	// Ideal is the coating that is missing where the suggested plan leaves much; nil where the shelf does it.
	Ideal    *plan.IdealCoating
	Warnings []fault.Note
	Relative bool // a colour came from a photo without a reference
	Finished bool // colours of plans are as seen under the clear coat to come
	// Between says of each pair of photos how far their colours agree; empty for one photo.
	Between  []Agreement
	Earlier  []Earlier  // results of earlier pieces, by coating; coatings without any are left out
	Bias     learn.Bias // of the operator, from earlier pieces
	Pieces   int        // that Bias was found from
	Readings []Read     // every colour that was read for it

	// Best is the most probable sample: previews are made from it.
	Best learn.Sample

	groundwork *groundwork // that other choices are made from
}

// A PhotoCalibration is what the reference in one photo of the piece taught.
type PhotoCalibration struct {
	Name        string
	Calibration Calibration
}

// A LearnedCoating is a coating of the shelf as its chip and test coats show it.
type LearnedCoating struct {
	Coating *blend.Coating
	Report  learn.Report
	Limit   colour.Lab // where nothing shows through any more
}

// An AreaPlan is the answer for one area.
type AreaPlan struct {
	Area   piece.Area
	Start  learn.Measured
	Target *learn.Measured // nil for an area that is to meet the others
	Views  []AreaView      // each photo's reading, where several show the area
	Plan   *plan.AreaPlan  // what the suggested choice lays on it
	Single []plan.Option   // the best of every coating by itself, the nearest first
	Laid   []LaidReport    // of the coats it has had, predicted and measured
	Asked  plan.Area       // as it was put to the planner
	// Systematic is the error that all readings of the area's photo share: a 95 % radius, ΔE00.
	Systematic float64
	// Expected is the predicted reading after each of the suggested coats and one more, without the clear coat to
	// come.
	Expected []plan.Expected
}

// A LaidReport compares the predicted and the measured result of coats on the piece.
type LaidReport struct {
	Coats      []plan.CoatCount // that the area then had in all, the undermost first
	Prediction plan.Prediction  // as measured, without the clear coat to come
	Causes     []fault.Note     // where it is a surprise: what may have caused it
}

func (r *PlanResult) shelfPlace(coating string) int {
	return slices.IndexFunc(r.Piece.Coatings, func(k piece.Coating) bool { return k.Name == coating })
}

// Drift says of each wood of the piece that is known for it how its colour changes in a room, each once.
func (r *PlanResult) Drift() []fault.Note {
	all := []fault.Note{}
	for i := range r.Areas {
		if n := learn.AgeingKnown(r.Areas[i].Area.Wood); !n.Empty() {
			all = append(all, n)
		}
	}
	return fault.Once(all)
}

// WoodsOfUnknownDrift are the woods of the piece of which it is not known how they change in a room, each once.
func (r *PlanResult) WoodsOfUnknownDrift() (woods []string) {
	for i := range r.Areas {
		a := &r.Areas[i].Area
		if w := a.Wood; w != "" && blend.Surface(a.Surface) != blend.NonAbsorbing && learn.AgeingKnown(w).Empty() && !slices.Contains(woods, w) {
			woods = append(woods, w)
		}
	}
	return woods
}

// Named is the area of that name; nil where there is none.
func (r *PlanResult) Named(name string) *AreaPlan {
	for i := range r.Areas {
		if r.Areas[i].Area.Name == name {
			return &r.Areas[i]
		}
	}
	return nil
}

// Planned is the number of coats that the suggested choice lays on an area.
func (a *AreaPlan) Planned() (n int) {
	for _, c := range a.Plan.Coats {
		n += c.Count
	}
	return n
}

// LaidCoats is the number of coats that lie on an area already.
func (a *AreaPlan) LaidCoats() (n int) {
	for _, l := range a.Area.Laid {
		n += l.Coats
	}
	return n
}

// firstCoats are the first n coats of those expected on an area.
func (r *PlanResult) firstCoats(a *AreaPlan, n int) (coats []plan.CoatCount) {
	for _, e := range a.Expected[:n] {
		name := r.Piece.Coatings[e.Coating].Name
		if last := len(coats) - 1; last >= 0 && coats[last].Coating == name {
			coats[last].Count++
		} else {
			coats = append(coats, plan.CoatCount{Coating: name, Count: 1})
		}
	}
	return coats
}
