package report_test

import (
	"math"
	"time"

	"huewright/blend"
	"huewright/colour"
	"huewright/imageio"
	"huewright/internal/workshop"
)

// The results here are of one job, made by hand: a music cabinet with an ash frame, sapele panels and a
// filled corner, to be brought down to an old board by a nut-brown wash. Figures are plausible, and of no
// photo; ΔE00 are those of the colours beside them. What a type of workshop holds is named here and in
// cabinetlog_test.go only.

var (
	ash      = colour.Lab{L: 77.9, A: 3.6, B: 22.8}
	sapele   = colour.Lab{L: 45.2, A: 17.4, B: 21.3}
	filler   = colour.Lab{L: 68.4, A: 7.9, B: 27.6}
	oldBoard = colour.Lab{L: 43.5, A: 16.1, B: 20.9}
	washChip = colour.Lab{L: 30.8, A: 8.2, B: 12.9}
	unknown  = colour.Lab{L: math.NaN(), A: math.NaN(), B: math.NaN()}

	cet     = time.FixedZone("CET", 3600)
	morning = time.Date(2026, 3, 14, 9, 0, 0, 0, cet)
)

func apart(a, b colour.Lab) float64 { return colour.DeltaE2000(a, b) }

// byChart is a photo whose chart was found; one patch lies in glare.
func byChart() workshop.Calibration {
	return workshop.Calibration{
		Reference: "chart", Found: true,
		Corners: &[4]imageio.Point{{X: 211.4, Y: 806.2}, {X: 640.9, Y: 811.7}, {X: 637.1, Y: 1092.5}, {X: 208.8, Y: 1088}},
		Report: colour.FitReport{
			MeanDeltaE: 0.8134, LOOMean: 2.0871, LOOP95: 4.5902, LOONearWood: 1.9,
			Patches: []colour.PatchFit{
				{
					Name: "dark brown", Want: colour.Lab{L: 37.5, A: 14.4, B: 14.9}, Got: colour.Lab{L: 37.9, A: 13.8, B: 14.6},
					DeltaE: 0.61, LeftOut: 1.24, Used: true,
				},
				{
					Name: "tan", Want: colour.Lab{L: 64.7, A: 19.3, B: 17.5}, Got: colour.Lab{L: 64.2, A: 19.9, B: 18.3},
					DeltaE: 0.79, LeftOut: 1.9, Used: true,
				},
				{
					Name: "white", Want: colour.Lab{L: 96.5, A: -0.4, B: 1.2}, Got: colour.Lab{L: 98.7, A: -0.1, B: 0.4},
					DeltaE: 1.52, LeftOut: math.NaN(), Why: "in glare",
				},
			},
		},
		Light: &workshop.LightReport{
			By: "neutrals", Found: 0.083, Left: 0.021,
			Neutrals: []workshop.NeutralLight{{Lightness: 94.1, LeftOut: -0.012}, {Lightness: 92.6, LeftOut: math.NaN()}},
		},
		Warnings: []string{"white balance was automatic: lock it when photos are to be compared"},
	}
}

// byGreyCard is a photo corrected by a card, its light by a blank sheet.
func byGreyCard() workshop.Calibration {
	return workshop.Calibration{
		Reference: "grey",
		Report: colour.FitReport{MeanDeltaE: 0.3, Patches: []colour.PatchFit{{
			Name: "grey card", Want: colour.Lab{L: 50}, Got: colour.Lab{L: 50.2, A: 0.2, B: -0.1}, DeltaE: 0.3, LeftOut: math.NaN(), Used: true,
		}}},
		Light: &workshop.LightReport{By: "flat", Found: 0.14, Left: 0.006},
	}
}

func byPaper() workshop.Calibration {
	return workshop.Calibration{
		Reference: "neutral",
		Light: &workshop.LightReport{
			By: "neutrals", Found: 0.05, Left: 0.05, Neutrals: []workshop.NeutralLight{{Lightness: 93, LeftOut: math.NaN()}},
		},
	}
}

func byNothing() workshop.Calibration {
	return workshop.Calibration{Reference: "none", Relative: true,
		Warnings: []string{"no reference in the photo: colours hold only beside one another"}}
}

// cabinetAreas are the frame and the corner of one photo.
func cabinetAreas() []workshop.AreaReading {
	return []workshop.AreaReading{
		{Name: "frame", SquareMetres: 0.6173, Reading: colour.Reading{
			Mean: ash, Spread: [3]float64{3.24, 0.81, 1.13}, LQuantiles: [5]float64{71.8, 76.2, 78.3, 80.1, 82.4},
			Ground: colour.Lab{L: 81.7, A: 2.9, B: 20.8}, Figure: colour.Lab{L: 72.6, A: 4.8, B: 24.9},
			Pixels: 9412, Dropped: colour.Dropped{Glare: 287, Gaps: 120}, PlusMinus: 2.04,
		}},
		{Name: "filled corner", Reading: colour.Reading{
			Mean: filler, Spread: [3]float64{0.9, 0.3, 0.4}, LQuantiles: [5]float64{66.9, 67.8, 68.4, 69, 69.8},
			Ground: colour.Lab{L: 69.5, A: 7.7, B: 27.1}, Figure: colour.Lab{L: 67.2, A: 8.1, B: 28.2},
			Pixels: 640, PlusMinus: 2.61, Warnings: []string{"640 pixels: outline more of it if there is more"},
		}},
	}
}

func cabinetMeasured(c workshop.Calibration) *workshop.MeasureResult {
	return &workshop.MeasureResult{Photo: "front.jpg", Calibration: c, Areas: cabinetAreas()}
}

func difference(target, sample colour.Lab, plusMinus float64) workshop.Difference {
	return workshop.Difference{
		DeltaE2000: apart(target, sample), DeltaE76: colour.DeltaE76(target, sample), DeltaE94: colour.DeltaE94(target, sample),
		DeltaECMC: colour.DeltaECMC(target, sample, 2, 1), PlusMinus: plusMinus,
		Words: colour.DescribeDifference(target, sample),
	}
}

// cabinetCompared holds the frame and the corner against the panel, or, without a name, a typed colour.
func cabinetCompared(target string) *workshop.CompareResult {
	c := &workshop.CompareResult{MeasureResult: *cabinetMeasured(byChart()), TargetName: target, Target: oldBoard}
	if target != "" {
		c.Target = sapele
		c.Areas = append(c.Areas, workshop.AreaReading{Name: target, Reading: colour.Reading{Mean: sapele, Pixels: 5120, PlusMinus: 1.88}})
	}
	for _, a := range c.Areas {
		d := workshop.Difference{}
		if a.Name != target {
			d = difference(c.Target, a.Reading.Mean, 2.4)
		}
		c.Differences = append(c.Differences, d)
	}
	return c
}

// A notRead is a fault with advice.
type notRead struct{}

func (notRead) Error() string { return "side.heic: cut off after 1.2 MB" }
func (notRead) Hint() string  { return "copy it from the phone again" }

// cabinetSeveral are three photos, one of which cannot be read.
func cabinetSeveral() *workshop.SeveralResult {
	back := cabinetMeasured(byNothing())
	back.Photo, back.Areas = "back.jpg", back.Areas[:1]
	return &workshop.SeveralResult{
		Photos: []workshop.PhotoReading{
			{Photo: "front.jpg", Result: cabinetMeasured(byChart())},
			{Photo: "side.heic", Err: notRead{}},
			{Photo: "back.jpg", Result: back},
		},
		Between: []workshop.Agreement{
			{Photos: [2]string{"front.jpg", "back.jpg"}, Tied: true, PlusMinus: 1.73},
			{Photos: [2]string{"front.jpg", "side.heic"}},
		},
		Warnings: []string{"one slip ties front.jpg and back.jpg: leave an untouched spot of wood in both too"},
	}
}

func sight(mm, of100, deltaE float64, seen bool) blend.Sight {
	ranks := map[string]float64{}
	for i, aspect := range blend.Aspects {
		ranks[aspect] = math.Max(0, of100-9*float64(i))
	}
	return blend.Sight{
		Distance: mm, Rank: blend.RepairRank{Of100: of100, ByAspect: ranks, Patches: 84}, Colour: deltaE, Ground: deltaE + 0.6,
		Figure: deltaE - 0.4, Spread: -0.7, Turned: 12, Line: 0.4, Seen: seen, ColourBeyond: deltaE - 1.1,
	}
}

func cornerSeen(photo string, near blend.Sight, far ...blend.Sight) workshop.RepairSeen {
	return workshop.RepairSeen{
		Photo: photo, Calibration: byChart(), Verdict: blend.ShowNear, Near: near, Far: far,
		Why:   []string{"its colour is lighter and yellower than the wood round it", "the wood's grain does not go on in it"},
		Along: 91, Coherence: 0.62, Left: 0.085, MM: 0.31, Warnings: []string{"little wood lies round it: 84 patches"},
	}
}

// cornerChecked is the filled corner after a touch-up, with how it was before and under a lamp.
func cornerChecked() *workshop.CheckResult {
	before, lamp := cornerSeen("before.jpg", sight(0, 100, 9.3, true)), cornerSeen("lamp.jpg", sight(0, 97, 4.4, true))
	before.Verdict, lamp.Verdict = blend.Shows, blend.ShowNear
	return &workshop.CheckResult{
		RepairSeen: cornerSeen("front.jpg", sight(0, 98, 3.2, true), sight(610, 96, 2.9, true), sight(1219, 71, 1.2, false),
			sight(1829, 40, 0.8, false)),
		Advice: []string{"glaze it with a thin brown, wiped to the edges", "draw the pores on with a dark pencil along the grain"},
		Lights: []blend.LightRisk{
			{Light: "filament lamp", Median: 3.6, High: 5.1, Now: 3.2, Breaks: 0.34}, {Light: "warm LED", Median: 3.3, High: 3.9, Now: 3.2,
				Breaks: 0.08},
		},
		Before: &before, Lamp: &lamp,
	}
}

// cabinetChecked are the repairs of the piece, one of which could not be judged.
func cabinetChecked() []workshop.RepairChecked {
	reads := &workshop.CheckResult{RepairSeen: workshop.RepairSeen{
		Photo: "front.jpg", Calibration: byPaper(), Verdict: blend.Reads, Near: sight(0, 41, 0.9, false),
	}}
	scar := &workshop.CheckResult{RepairSeen: workshop.RepairSeen{
		Photo: "front.jpg", Calibration: byNothing(), Verdict: blend.Shows, Near: sight(0, 100, 11.2, true),
		Far: []blend.Sight{sight(610, 100, 10.8, true), sight(1219, 99, 9.9, true)},
	}}
	return []workshop.RepairChecked{
		{Name: "filled corner", Result: cornerChecked()}, {Name: "left door", Result: reads}, {Name: "hinge scar", Result: scar},
		{Name: "foot", Err: notRead{}},
	}
}

func step(coats int, coating string, c, target colour.Lab, grain float64) blend.Step {
	d := apart(target, c)
	return blend.Step{
		Coats: coats, Coating: coating, Lab: c, PlusMinus: 1.6 + 0.5*float64(coats), DeltaE: d,
		Low: math.Max(0.4, d-1.4), High: d + 1.9, Grain: grain, Overshoot: 0.09 * float64(coats),
	}
}

// downTo is an area as it is and after coats of the wash.
func downTo(target, start colour.Lab, after ...colour.Lab) []blend.Step {
	path := []blend.Step{step(0, "", start, target, 1)}
	for i, c := range after {
		path = append(path, step(i+1, "nut-brown wash", c, target, 0.86-0.13*float64(i)))
	}
	return path
}

var (
	ashWashed = []colour.Lab{{L: 61.2, A: 9.4, B: 25.1}, {L: 50.3, A: 12.2, B: 23.4}, {L: 43.6, A: 13.1, B: 21.2},
		{L: 39.4, A: 12.7, B: 18.9}}
	fillerWashed = []colour.Lab{{L: 57.1, A: 11.3, B: 26.4}, {L: 49.2, A: 12.6, B: 23.1}, {L: 42.6, A: 12.8, B: 19.6}}
	sapeleWashed = colour.Lab{L: 39.8, A: 14.6, B: 17.9}
)

func washes(count, low, high int) []blend.CoatCount {
	return []blend.CoatCount{{Coating: "nut-brown wash", Count: count, Range: [2]int{low, high}}}
}

// framePlan brings the frame to the old board.
func framePlan() *blend.AreaPlan {
	path := downTo(oldBoard, ash, ashWashed[:3]...)
	balanced := blend.Choice{
		Kind: blend.Balanced, Coats: washes(3, 2, 4), DeltaE: blend.Spread{Best: path[3].DeltaE, Low: 1.2,
			High: 4.1}, Within: 0.44, Grain: 0.6, StopAfter: 2,
	}
	closest := blend.Choice{
		Kind:   blend.Closest,
		Coats:  append(washes(3, 2, 4), blend.CoatCount{Coating: "amber glaze", Count: 1, Range: [2]int{1, 1}}),
		DeltaE: blend.Spread{Best: 1.1, Low: 0.7, High: 3.2}, Within: 0.71, Grain: 0.21, StopAfter: 4,
		Between: []string{"seal the wash with one thin coat of shellac before the glaze"},
	}
	most := blend.Choice{Kind: blend.MostGrain, Coats: washes(2, 2, 2), DeltaE: blend.Spread{Best: 8.9, Low: 8.9, High: 8.9},
		Grain: math.NaN(), StopAfter: 0}
	return &blend.AreaPlan{
		Name: "frame", Choice: balanced, Path: path, Target: oldBoard, Before: path[0].DeltaE, After: path[3].DeltaE, Reachable: true,
		Beyond: step(4, "nut-brown wash", ashWashed[3], oldBoard, math.NaN()), Choices: []blend.Choice{closest, balanced, most},
		Options: []blend.Option{
			{CoatCount: washes(3, 2, 4)[0], Lab: ashWashed[2], DeltaE: path[3].DeltaE},
			{CoatCount: blend.CoatCount{Coating: "brown dye", Count: 2, Range: [2]int{1, 2}}, Lab: ashWashed[1], DeltaE: 9.2,
				MayNot: "a dye does not soak through the wash"},
		},
	}
}

// panelPlan leaves a panel as it is.
func panelPlan() *blend.AreaPlan {
	path := downTo(oldBoard, sapele)
	leave := blend.Choice{Kind: blend.Closest, DeltaE: blend.Spread{Best: path[0].DeltaE, Low: path[0].Low, High: path[0].High},
		Within: 0.5, Grain: 1}
	return &blend.AreaPlan{
		Name: "panel", Choice: leave, Path: path, Target: oldBoard, Before: path[0].DeltaE, After: path[0].DeltaE, Reachable: true,
		Beyond: step(1, "nut-brown wash", sapeleWashed, oldBoard, 0.9), Choices: []blend.Choice{leave},
	}
}

// cornerPlan comes as near as it can.
func cornerPlan() *blend.AreaPlan {
	path := downTo(oldBoard, filler, fillerWashed[:2]...)
	two := blend.Choice{Kind: blend.Closest, Coats: washes(2, 1, 3), DeltaE: blend.Spread{Best: path[2].DeltaE, Low: 5.1, High: 9.3},
		Within: 0.02, Grain: math.NaN(), StopAfter: 2}
	return &blend.AreaPlan{
		Name: "filled corner", Choice: two, Path: path, Target: oldBoard, Before: path[0].DeltaE, After: path[2].DeltaE,
		Why:    "left over: a little lighter, yellower; the wash is yellower than the board; a redder brown would help",
		Beyond: step(3, "nut-brown wash", fillerWashed[2], oldBoard, math.NaN()), Choices: []blend.Choice{two},
	}
}

// cabinet is the piece file, without the photos themselves.
func cabinet() workshop.Piece {
	return workshop.Piece{
		Name: "music cabinet", Tolerance: 2.5,
		Coatings: []workshop.Coating{
			{Name: "nut-brown wash", Kind: "wash", Dilution: &workshop.Dilution{Paint: 1, Water: 4}}, {Name: "amber glaze", Kind: "glaze"},
			{Name: "brown dye", Kind: "dye"},
		},
		Clear: &workshop.Clear{Name: "water-borne clear", Coats: 2},
	}
}

func shelf() []workshop.LearnedCoating {
	return []workshop.LearnedCoating{
		{Coating: &blend.Coating{Name: "nut-brown wash", Kind: "wash"}, Limit: washChip},
		{Coating: &blend.Coating{Name: "amber glaze", Kind: "glaze", PutOn: "wiped"}, Limit: colour.Lab{L: 47.5, A: 22.1, B: 43.7},
			Report: blend.LearnReport{Warnings: []string{"no test coat: how much one coat leaves is a guess; lay one on scrap"}}},
		{Coating: &blend.Coating{Name: "brown dye", Kind: "dye"}, Limit: unknown},
	}
}

// framePast are two coats that the frame has had, the second of which came out darker than foreseen.
func framePast() []workshop.LaidReport {
	return []workshop.LaidReport{
		{Coats: washes(1, 1, 1), Seen: blend.Foreseen{Predicted: ashWashed[0], Measured: colour.Lab{L: 60.4, A: 9.6, B: 25}, PlusMinus: 3.1,
			DeltaE: 0.8}},
		{
			Coats: washes(2, 2, 2),
			Seen: blend.Foreseen{Predicted: ashWashed[1], Measured: colour.Lab{L: 45.9, A: 12.9, B: 22.1}, PlusMinus: 2.8,
				DeltaE: apart(ashWashed[1], colour.Lab{L: 45.9, A: 12.9, B: 22.1})},
			Causes: []string{"the coat was thicker than the test coat", "the mix was stronger"},
		},
	}
}

// cabinetPlan is the plan to the old board: the frame, a panel that is there already, the filled corner that
// cannot be brought there.
func cabinetPlan() *workshop.PlanResult {
	target := &blend.Measured{Lab: oldBoard, PlusMinus: 1.7}
	r := &workshop.PlanResult{
		Piece: cabinet(), Coatings: shelf(), Finished: true,
		Photos: []workshop.PhotoCalibration{{Name: "front", Calibration: byChart()}, {Name: "side", Calibration: byGreyCard()}},
		Between: []workshop.Agreement{
			{Photos: [2]string{"front", "side"}, Tied: true, PlusMinus: 1.24}, {Photos: [2]string{"front", "back"}},
		},
		Areas: []workshop.AreaPlan{
			{
				Area:  workshop.PieceArea{Name: "frame", Wood: "ash", Surface: "sealed", SizeM2: 0.6173},
				Start: blend.Measured{Lab: ash, PlusMinus: 2.04}, Target: target, Plan: framePlan(), Laid: framePast(),
				Shots: []workshop.AreaShot{{Photo: "front", Lab: ash},
					{Photo: "side", Lab: colour.Lab{L: 76.8, A: 3.9, B: 23.5}, DeltaE: 1, PlusMinus: 2.2}},
			},
			{
				Area:  workshop.PieceArea{Name: "panel", Wood: "sapele", Surface: "clear-coated", SizeM2: 0.84},
				Start: blend.Measured{Lab: sapele, PlusMinus: 1.88}, Target: target, Plan: panelPlan(),
			},
			{Area: workshop.PieceArea{Name: "filled corner"}, Start: blend.Measured{Lab: filler, PlusMinus: 2.61}, Target: target,
				Plan: cornerPlan()},
		},
		Batches: []blend.Batch{
			{
				Coating: "nut-brown wash", Amounts: []blend.Amount{{Area: "frame", SizeM2: 0.6173, Coats: 3}}, Unsized: []string{"filled corner"},
				Spread: blend.SpreadRate{Low: 8, High: 12}, Needed: [2]float64{154, 231}, Mix: 270, Paint: 54, Thinner: 216,
			},
			{Coating: "amber glaze", Unsized: []string{"frame"}, Spread: blend.SpreadRate{Low: 10, High: 14}},
		},
		Mix: &blend.MixAnswer{
			OneMix: &blend.MixPlan{
				Parts: []blend.MixPart{{Coating: "nut-brown wash", Parts: 3}, {Coating: "amber glaze", Parts: 1}}, Water: 8,
				Areas: []blend.MixArea{{Name: "frame", Coats: 3, Water: 8, Lab: ashWashed[2], Grain: 0.6},
					{Name: "filled corner", Coats: 2, Water: 8, Lab: fillerWashed[1], Grain: math.NaN()}},
				DeltaE: blend.Spread{Best: 4, Low: 2.8, High: 6.1}, Grain: 0.6,
			},
			OneCount: &blend.MixPlan{
				Parts: []blend.MixPart{{Coating: "nut-brown wash", Parts: 1}},
				Areas: []blend.MixArea{{Name: "frame", Coats: 2, Lab: ashWashed[2], Grain: 0.58},
					{Name: "filled corner", Coats: 2, Water: 2, Lab: fillerWashed[1], Grain: math.NaN()}},
				DeltaE: blend.Spread{Best: 4.6, Low: 3, High: 7}, Grain: 0.58,
			},
			MixedMore: true,
		},
		Tests: []blend.TestAdvice{
			{Coating: "nut-brown wash", Coats: 1, On: "frame", Now: 2.1, Then: 1.2}, {Coating: "amber glaze", Coats: 2, On: blend.Card,
				Now: 2.1, Then: 1.7},
		},
		Earlier: []workshop.Earlier{
			{Coating: "nut-brown wash", Pieces: []string{"hall bench", "sideboard"}, Results: 7, Alike: 4, SameBatch: 2},
			{Coating: "amber glaze", Pieces: []string{"sideboard"}, Chip: true},
		},
		Habit: blend.Habit{Film: 0.12, Wider: 1.3}, Pieces: 2,
		Warnings: []string{"front: the light falls off to the left; leave a slip of paper there too"},
	}
	return r
}

// meeting brings frame, panel and corner together by so many coats on each.
func meeting(kind string, common colour.Lab, counts [3]int) blend.MeetChoice {
	c := blend.MeetChoice{Kind: kind, Common: common, Grain: 0.6}
	starts := []colour.Lab{ash, sapele, filler}
	var ends []colour.Lab
	for i, after := range [][]colour.Lab{append(ashWashed[:4:4], ashWashed[3]), {sapeleWashed, {L: 36.1, A: 12.5, B: 15.6}},
		append(fillerWashed[:3:3], fillerWashed[2])} {
		n := counts[i]
		path := downTo(common, starts[i], after[:n]...)
		ends = append(ends, path[n].Lab)
		c.Areas = append(c.Areas, blend.MeetArea{
			Name: []string{"frame", "panel", "filled corner"}[i], Coats: washes(n, n, n+1), Path: path,
			Beyond: step(n+1, "nut-brown wash", after[n], common, 0.5), Grain: 0.6, StopAfter: []int{3, 0, 0}[i],
		})
	}
	for _, two := range [][2]int{{0, 1}, {0, 2}, {1, 2}} {
		d := apart(ends[two[0]], ends[two[1]])
		pair := blend.MeetPair{
			Areas:  [2]string{c.Areas[two[0]].Name, c.Areas[two[1]].Name},
			Before: apart(starts[two[0]], starts[two[1]]), After: blend.Spread{Best: d, Low: 0.7 * d, High: 1.4 * d},
		}
		c.Pairs = append(c.Pairs, pair)
		if d > c.Worst.Best {
			c.Worst, c.Pair = pair.After, pair.Areas
		}
	}
	return c
}

// cabinetMeeting is the plan without a target, in US units and without a reference: frame, panel and corner
// are to meet.
func cabinetMeeting() *workshop.PlanResult {
	common := colour.Lab{L: 45.9, A: 14.4, B: 22}
	balanced := meeting(blend.Balanced, common, [3]int{3, 0, 2})
	closest := meeting(blend.Closest, common, [3]int{4, 1, 3})
	closest.Grain = 0.2
	r := &workshop.PlanResult{
		Piece: cabinet(), Coatings: shelf()[:1], Relative: true,
		Photos: []workshop.PhotoCalibration{{Name: "front", Calibration: byNothing()}},
		Meet:   &blend.MeetPlan{Before: apart(ash, sapele), Choices: []blend.MeetChoice{closest, balanced}, Chosen: 1, Lightest: "panel"},
		Batches: []blend.Batch{{
			Coating: "nut-brown wash", Amounts: []blend.Amount{{Area: "frame", SizeM2: 0.6173, Coats: 3}}, Unsized: []string{"filled corner"},
			Spread: blend.SpreadRate{Low: 9.8, High: 9.8, Label: true}, Needed: [2]float64{189, 189}, Mix: 230,
		}},
	}
	r.Piece.Units, r.Piece.Spare, r.Piece.Clear, r.Piece.Coatings = "us", 0.2, nil, r.Piece.Coatings[:1]
	for _, a := range []workshop.AreaPlan{
		{Area: workshop.PieceArea{Name: "frame", Wood: "ash", Surface: "sealed", SizeM2: 0.6173},
			Start: blend.Measured{Lab: ash, PlusMinus: 2.04}, Laid: framePast()[:1]},
		{Area: workshop.PieceArea{Name: "panel", Wood: "sapele"}, Start: blend.Measured{Lab: sapele, PlusMinus: 1.88}},
		{Area: workshop.PieceArea{Name: "filled corner"}, Start: blend.Measured{Lab: filler, PlusMinus: 2.61}},
	} {
		r.Areas = append(r.Areas, a)
	}
	return r
}

// cabinetSchedule is when the coats of the plan go on.
func cabinetSchedule() *workshop.Schedule {
	at := func(hours float64) time.Time { return morning.Add(time.Duration(hours * float64(time.Hour))) }
	wash := func(coat int, hour float64, areas ...string) blend.TimedStep {
		return blend.TimedStep{At: at(hour), Areas: areas, Coating: "nut-brown wash", Coat: coat, Wait: "as its label says"}
	}
	first, second, third := wash(1, 0, "frame", "filled corner"), wash(2, 4, "frame", "filled corner"), wash(3, 24, "frame")
	first.Wait = ""
	second.Earliest, third.Earliest = at(4), at(8)
	third.Latest, third.Look, third.Do = at(52), true, []string{"rub the raised grain down with a fine pad"}
	clear := blend.TimedStep{
		At: at(48), Earliest: at(48), Areas: []string{"frame", "panel", "filled corner"}, Coating: "water-borne clear", Coat: 1, Clear: true,
		Wait: "nothing is known of it: a night", Assumed: true,
	}
	return &workshop.Schedule{
		Timetable: blend.Timetable{
			Steps: []blend.TimedStep{first, second, third, clear}, Ready: at(52), Days: 3,
			Warnings: []string{"the room's humidity is not known: damp air dries water-borne coats slowly"},
		},
		Bench: blend.Bench{Start: morning},
		Fit:   []string{"the clear coat lies on a wash that may not be dry: a night between them"},
		Cautions: []blend.Caution{
			{Key: "dust", Matters: true, At: "sanding", Danger: "Wood dust causes cancer.",
				Do: "Extraction, and a mask that fits, for every sanding."},
			{Key: "rags", Matters: true, At: "rags", Danger: "Rags with drying oil catch fire by themselves.",
				Do: "Lay them out singly, outside, until they are hard."},
			{Key: "lead", At: "before", Danger: "An old finish may hold lead.", Do: "Test every layer."},
			{Key: "bleach", At: "before", Danger: "Bleaches burn skin and eyes.", Do: "Gloves and goggles."},
		},
	}
}
