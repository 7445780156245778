package workshop

import (
	"huewright/blend"
	"huewright/blend/learn"
	"huewright/blend/plan"
	"huewright/blend/schedule"
	"huewright/colour"
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
	Warnings []string
	Relative bool // a colour came from a photo without a reference
	Finished bool // colours of plans are as seen under the clear coat to come
	// Between says of each pair of photos how far their colours agree; empty for one photo.
	Between  []Agreement
	Earlier  []Earlier  // what earlier pieces told, by coating; those that told nothing are left out
	Bias     learn.Bias // of the hand, as earlier pieces show it
	Pieces   int        // that the habit was found from
	Readings []Read     // every colour that was read for it

	// Middle is the middle of all that the readings leave open: what previews are made from.
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
	Views  []AreaView      // what each photo says of the area, where several show it
	Plan   *plan.AreaPlan  // nil for an area that is to meet the others: see PlanResult.Meet
	Laid   []LaidReport    // what the coats it has had were to do, and did
	Asked  plan.Area       // what was asked of PlanResult.Middle
	// Systematic is what all readings of the area's photo have wrong together: a 95 % radius.
	Systematic float64
	// Expected is what the coats put forward, and one more, will look like as they will be measured,
	// without the clear coat to come.
	Expected []plan.Expected
}

// A LaidReport holds what coats on the piece were foreseen to do against what they did.
type LaidReport struct {
	Coats      []plan.CoatCount // that the area then had in all, the undermost first
	Prediction plan.Prediction  // as measured, without the clear coat to come
	Causes     []string         // where it is a surprise, what may lie behind it
}
