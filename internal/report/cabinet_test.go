package report_test

import (
	"math"
	"time"

	"huewright/blend/repair"
	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/internal/fault"
	"huewright/internal/workshop"
)

// The results here are of one job, made by hand: a music cabinet with an ash frame, sapele panels and a
// filled corner, to be brought down to an old board by a nut-brown wash. Figures are plausible, and of no
// photo; ΔE00 are those of the colours beside them. What a type of workshop holds is named here, in
// cabinetplan_test.go and in cabinetlog_test.go only.

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
		Report: camera.Report{
			MeanDeltaE: 0.8134, LOOMean: 2.0871, LOOP95: 4.5902, LOONearWood: 1.9,
			Patches: []camera.PatchFit{
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
					DeltaE: 1.52, LeftOut: math.NaN(), Why: fault.Say(fault.Said, "text", "in glare"),
				},
			},
		},
		Light: &workshop.LightReport{
			By: "neutrals", Found: 0.083, Left: 0.021,
			Neutrals: []workshop.NeutralLight{{Lightness: 94.1, LeftOut: -0.012}, {Lightness: 92.6, LeftOut: math.NaN()}},
		},
		Warnings: []fault.Note{fault.Say(fault.Said, "text", "white balance was automatic: lock it when photos are to be compared")},
	}
}

// byGreyCard is a photo corrected by a card, its light by a blank sheet.
func byGreyCard() workshop.Calibration {
	return workshop.Calibration{
		Reference: "grey",
		Report: camera.Report{MeanDeltaE: 0.3, Patches: []camera.PatchFit{{
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
		Warnings: []fault.Note{fault.Say(fault.Said, "text", "no reference in the photo: colours hold only beside one another")}}
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
			Pixels: 640, PlusMinus: 2.61, Warnings: []fault.Note{fault.Say(fault.Said, "text", "640 pixels: outline more of it if there is more")},
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

// notRead is the fault of a photo that was cut off.
var notRead = fault.In(fault.New(fault.Photo, "photo.cut-short"), fault.Place{File: "side.heic"})

// cabinetSeveral are three photos, one of which cannot be read.
func cabinetSeveral() *workshop.SeveralResult {
	back := cabinetMeasured(byNothing())
	back.Photo, back.Areas = "back.jpg", back.Areas[:1]
	return &workshop.SeveralResult{
		Photos: []workshop.PhotoReading{
			{Photo: "front.jpg", Result: cabinetMeasured(byChart())},
			{Photo: "side.heic", Err: notRead},
			{Photo: "back.jpg", Result: back},
		},
		Between: []workshop.Agreement{
			{Photos: [2]string{"front.jpg", "back.jpg"}, Tied: true, PlusMinus: 1.73},
			{Photos: [2]string{"front.jpg", "side.heic"}},
		},
		Warnings: []fault.Note{fault.Say("tie.off", "name", "slip", "delta", 3.1, "photo", "back")},
	}
}

func sight(mm, of100, deltaE float64, seen bool) repair.View {
	ranks := map[string]float64{}
	for i, aspect := range repair.Aspects {
		ranks[aspect] = math.Max(0, of100-9*float64(i))
	}
	return repair.View{
		Distance: mm, Rank: repair.Rank{Of100: of100, ByAspect: ranks, Patches: 84}, Colour: deltaE, Ground: deltaE + 0.6,
		Figure: deltaE - 0.4, Spread: -0.7, Turned: 12, Line: 0.4, Seen: seen, ColourResidual: deltaE - 1.1,
	}
}

func cornerSeen(photo string, near repair.View, far ...repair.View) workshop.RepairSeen {
	return workshop.RepairSeen{
		Photo: photo, Calibration: byChart(), Verdict: repair.ShowNear, Near: near, Far: far,
		Why:   []fault.Note{fault.Say("view.colour", "difference", colour.DescribeDifference(sapele, filler)), fault.Say("view.flat")},
		Along: 91, Coherence: 0.62, Left: 0.085, MM: 0.31,
		Warnings: []fault.Note{fault.Say(fault.Said, "text", "little wood lies round it: 84 patches")},
	}
}

// cornerChecked is the filled corner after a touch-up, with how it was before and under a lamp.
func cornerChecked() *workshop.CheckResult {
	before, lamp := cornerSeen("before.jpg", sight(0, 100, 9.3, true)), cornerSeen("lamp.jpg", sight(0, 97, 4.4, true))
	before.Verdict, lamp.Verdict = repair.Shows, repair.ShowNear
	return &workshop.CheckResult{
		RepairSeen: cornerSeen("front.jpg", sight(0, 98, 3.2, true), sight(610, 96, 2.9, true), sight(1219, 71, 1.2, false),
			sight(1829, 40, 0.8, false)),
		Advice: []fault.Note{
			fault.Say("mend.touch-up", "touches", 2, "coating", "umber glaze", "strength", 0.5, "before", 6.2, "after", 1.4),
			fault.Say("mend.then-draw-grain", "degrees", 80.0),
		},
		Lights: []repair.LightRisk{
			{Light: fault.Say("view.filament-lamp"), Median: 3.6, High: 5.1, Now: 3.2, Breaks: 0.34},
			{Light: fault.Say("view.warm-led"), Median: 3.3, High: 3.9, Now: 3.2, Breaks: 0.08},
		},
		Before: &before, Lamp: &lamp,
	}
}

// cabinetChecked are the repairs of the piece, one of which could not be judged.
func cabinetChecked() []workshop.RepairChecked {
	reads := &workshop.CheckResult{RepairSeen: workshop.RepairSeen{
		Photo: "front.jpg", Calibration: byPaper(), Verdict: repair.Reads, Near: sight(0, 41, 0.9, false),
	}}
	scar := &workshop.CheckResult{RepairSeen: workshop.RepairSeen{
		Photo: "front.jpg", Calibration: byNothing(), Verdict: repair.Shows, Near: sight(0, 100, 11.2, true),
		Far: []repair.View{sight(610, 100, 10.8, true), sight(1219, 99, 9.9, true)},
	}}
	return []workshop.RepairChecked{
		{Name: "filled corner", Result: cornerChecked()}, {Name: "left door", Result: reads}, {Name: "hinge scar", Result: scar},
		{Name: "foot", Err: notRead},
	}
}
