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
	Meet     *plan.MeetPlan    // how areas without a target come together; nil where all have one
	Mix      *plan.MixAnswer   // what could be mixed from the shelf instead
	Batches  []schedule.Batch  // how much of each coating that takes
	Tests    []plan.TestAdvice // test coats that would narrow the counts, the best first; none where enough is known
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
	Plan   *plan.AreaPlan  // nil for an area that is to meet the others: see PlanResult.Meet
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

// Named is the area of that name; nil where there is none.
func (r *PlanResult) Named(name string) *AreaPlan {
	for i := range r.Areas {
		if r.Areas[i].Area.Name == name {
			return &r.Areas[i]
		}
	}
	return nil
}

// Planned is the number of coats suggested for an area.
func (r *PlanResult) Planned(a *AreaPlan) (n int) {
	for _, c := range r.Coats(a) {
		n += c.Count
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

// A suggestion is what a plan suggests for one area, whether to its target or to meet the others.
type suggestion struct {
	coats   []plan.CoatCount
	path    []plan.Step // predicted after each coat
	stop    int         // the coat after which to stop and check
	oneMore plan.Step
}

func (r *PlanResult) suggestion(a *AreaPlan) suggestion {
	if p := a.Plan; p != nil {
		return suggestion{p.Coats, p.Path, p.StopAfter, p.OneMore}
	}
	if r.Meet != nil {
		choice := &r.Meet.Choices[r.Meet.Chosen]
		for i := range choice.Areas {
			if m := &choice.Areas[i]; m.Name == a.Area.Name {
				return suggestion{m.Coats, m.Path, m.StopAfter, m.OneMore}
			}
		}
	}
	return suggestion{path: []plan.Step{{Lab: a.Start.Lab}}}
}

// Coats are those suggested for an area.
func (r *PlanResult) Coats(a *AreaPlan) []plan.CoatCount { return r.suggestion(a).coats }

// Counted is the suggestion for an area: coats, predicted colour after each, and the coat after which to stop and check.
func (a *AreaPlan) Counted(r *PlanResult) (coats []plan.CoatCount, path []plan.Step, stop int) {
	s := r.suggestion(a)
	return s.coats, s.path, s.stop
}
