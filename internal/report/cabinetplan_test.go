package report_test

import (
	"math"
	"slices"
	"time"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/blend/plan"
	"huewright/blend/schedule"
	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

func step(coats int, coating string, c, target colour.Lab, grain float64) plan.Step {
	d := apart(target, c)
	return plan.Step{
		Coats: coats, Coating: coating, Lab: c, PlusMinus: 1.6 + 0.5*float64(coats), DeltaE: d,
		Low: math.Max(0.4, d-1.4), High: d + 1.9, Grain: grain, Overshoot: 0.09 * float64(coats),
	}
}

// downTo is an area as it is and after coats of the wash.
func downTo(target, start colour.Lab, after ...colour.Lab) []plan.Step {
	path := []plan.Step{step(0, "", start, target, 1)}
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

func washes(count, low, high int) []plan.CoatCount {
	return []plan.CoatCount{{Coating: "nut-brown wash", Count: count, Range: [2]int{low, high}}}
}

// ofStep is how far an area is from its aim at a step.
func ofStep(s plan.Step) plan.Spread { return plan.Spread{Median: s.DeltaE, Low: s.Low, High: s.High} }

// byLamp is how two colours differ by a lamp that makes what is strong in colour redder still, the second a little more.
func byLamp(one, other colour.Lab) plan.LampView {
	redder := func(c colour.Lab, by float64) colour.Lab { return colour.Lab{L: c.L + 1, A: c.A + by*c.B, B: c.B} }
	v := plan.LampView{Of: [2]colour.Lab{redder(one, 0.05), redder(other, 0.1)}}
	off := apart(v.Of[0], v.Of[1])
	v.DeltaE = plan.Spread{Median: off, Low: 0.7 * off, High: 1.4 * off}
	return v
}

// onArea is what a choice lays on an area that ends at the last step of a path.
func onArea(name string, aim colour.Lab, path []plan.Step, beyond plan.Step, coats []plan.CoatCount, grain float64,
	stop int) plan.AreaPlan {
	return plan.AreaPlan{
		Name: name, Coats: coats, Aim: aim, Before: ofStep(path[0]), After: ofStep(path[len(path)-1]), Within: 0.44, Grain: grain, Path: path,
		OneMore: beyond, StopAfter: stop,
	}
}

// framePlan brings the frame to the old board.
func framePlan() plan.AreaPlan {
	a := onArea("frame", oldBoard, downTo(oldBoard, ash, ashWashed[:3]...), step(4, "nut-brown wash", ashWashed[3], oldBoard, math.NaN()),
		washes(3, 2, 4), 0.6, 2)
	a.ToTarget, a.Reachable, a.Lamp = true, true, byLamp(oldBoard, ashWashed[2])
	return a
}

// frameSingles are what each coating by itself does on the frame.
func frameSingles() []plan.Option {
	return []plan.Option{
		{CoatCount: washes(3, 2, 4)[0], Lab: ashWashed[2], DeltaE: plan.Spread{Median: 2.4, Low: 1.2, High: 4.1}},
		{CoatCount: plan.CoatCount{Coating: "brown dye", Count: 2, Range: [2]int{1, 2}}, Lab: ashWashed[1],
			DeltaE:   plan.Spread{Median: 9.2, Low: 8.1, High: 10.4},
			Conflict: fault.Say("layer.needs-wood", "over", "brown dye", "over-kind", "dye", "under", "nut-brown wash")},
	}
}

// panelPlan leaves a panel as it is.
func panelPlan() plan.AreaPlan {
	a := onArea("panel", oldBoard, downTo(oldBoard, sapele), step(1, "nut-brown wash", sapeleWashed, oldBoard, 0.9), nil, 1, 0)
	a.ToTarget, a.Reachable, a.Lamp = true, true, byLamp(oldBoard, sapele)
	return a
}

// cornerPlan comes as near as it can.
func cornerPlan() plan.AreaPlan {
	path := downTo(oldBoard, filler, fillerWashed[:2]...)
	a := onArea("filled corner", oldBoard, path, step(3, "nut-brown wash", fillerWashed[2], oldBoard, math.NaN()), washes(2, 1, 3),
		math.NaN(), 1)
	difference := colour.DescribeDifference(oldBoard, path[2].Lab)
	a.ToTarget, a.Within, a.Lamp = true, 0.02, byLamp(oldBoard, fillerWashed[1])
	a.Why = []fault.Note{fault.Say("plan.left-over", "difference", difference), fault.Say("plan.more-leads-away", "coating", "nut-brown wash"),
		fault.Say("plan.missing", "difference", difference)}
	return a
}

// choiceOf is a choice made of what it lays on each area, from where they are now.
func choiceOf(areas ...plan.AreaPlan) plan.Choice {
	c := plan.Choice{Areas: areas, Grain: math.NaN()}
	end := func(a *plan.AreaPlan) colour.Lab { return a.Path[len(a.Path)-1].Lab }
	for i := range areas {
		a := &areas[i]
		for _, k := range a.Coats {
			c.Coats += k.Count
		}
		if !math.IsNaN(a.Grain) && !(a.Grain >= c.Grain) {
			c.Grain = a.Grain
		}
		if a.ToTarget && a.After.Median > c.Worst.Median {
			c.Worst, c.Of = a.After, [2]string{a.Name, ""}
		}
		for k := range areas[:i] {
			b := &areas[k]
			before, after := apart(a.Path[0].Lab, b.Path[0].Lab), apart(end(a), end(b))
			pair := plan.Pair{
				Areas:  [2]string{b.Name, a.Name},
				Before: plan.Spread{Median: before, Low: 0.9 * before, High: 1.1 * before},
				After:  plan.Spread{Median: after, Low: 0.7 * after, High: 1.4 * after},
				Lamp:   byLamp(end(b), end(a)),
			}
			c.Pairs = append(c.Pairs, pair)
			if after > c.Worst.Median {
				c.Worst, c.Of = pair.After, pair.Areas
			}
		}
	}
	c.Value = c.Worst.Median + 2
	return c
}

// cabinet is the piece file, without the photos themselves.
func cabinet() piece.Piece {
	return piece.Piece{
		Name: "music cabinet", Tolerance: 2.5,
		Coatings: []piece.Coating{
			{Name: "nut-brown wash", Kind: "wash", Dilution: &piece.Dilution{Paint: 1, Water: 4}}, {Name: "amber glaze", Kind: "glaze"},
			{Name: "brown dye", Kind: "dye"},
		},
		Clear: &piece.Clear{Name: "water-borne clear", Coats: 2},
	}
}

func shelf() []workshop.LearnedCoating {
	return []workshop.LearnedCoating{
		{Coating: &blend.Coating{Name: "nut-brown wash", Kind: "wash"}, Limit: washChip},
		{Coating: &blend.Coating{Name: "amber glaze", Kind: "glaze", PutOn: "wiped"}, Limit: colour.Lab{L: 47.5, A: 22.1, B: 43.7},
			Report: learn.Report{Warnings: []fault.Note{fault.Say("learn.chip-only")}}},
		{Coating: &blend.Coating{Name: "brown dye", Kind: "dye"}, Limit: unknown},
	}
}

// framePast are two coats that the frame has had, the second of which came out darker than foreseen.
func framePast() []workshop.LaidReport {
	return []workshop.LaidReport{
		{
			Coats:      washes(1, 1, 1),
			Prediction: plan.Prediction{Predicted: ashWashed[0], Measured: colour.Lab{L: 60.4, A: 9.6, B: 25}, PlusMinus: 3.1, DeltaE: 0.8},
		},
		{
			Coats: washes(2, 2, 2),
			Prediction: plan.Prediction{Predicted: ashWashed[1], Measured: colour.Lab{L: 45.9, A: 12.9, B: 22.1}, PlusMinus: 2.8,
				DeltaE: apart(ashWashed[1], colour.Lab{L: 45.9, A: 12.9, B: 22.1})},
			Causes: []fault.Note{fault.Say("plan.strong-mix"), fault.Say("plan.bare-surface")},
		},
	}
}

// candidate is a colour that might be bought.
func candidate(name string, chip colour.Lab, hiding, leaves float64) plan.RankedCandidate {
	return plan.RankedCandidate{Candidate: plan.Candidate{Name: name, Chip: chip, Hiding: hiding}, OneCoat: colour.Lab{L: 52, A: 17, B: 26},
		Areas:  []plan.IdealArea{{Name: "frame", Coats: 2, DeltaE: leaves, Grain: 0.8}, {Name: "panel", Coats: 1, DeltaE: 0.7, Grain: 0.9}},
		Leaves: leaves, Value: leaves + 1.5}
}

// cabinetPlan is the plan to the old board: the frame, a panel that is there already, the filled corner that
// cannot be brought there.
func cabinetPlan() *workshop.PlanResult {
	target := &learn.Measured{Lab: oldBoard, PlusMinus: 1.7}
	r := &workshop.PlanResult{
		Piece: cabinet(), Coatings: shelf(), Finished: true,
		Photos: []workshop.PhotoCalibration{{Name: "front", Calibration: byChart()}, {Name: "side", Calibration: byGreyCard()}},
		Between: []workshop.Agreement{
			{Photos: [2]string{"front", "side"}, Tied: true, PlusMinus: 1.24}, {Photos: [2]string{"front", "back"}},
		},
		Areas: []workshop.AreaPlan{
			{
				Area:  piece.Area{Name: "frame", Wood: "ash", Surface: "sealed", SizeM2: 0.6173},
				Start: learn.Measured{Lab: ash, PlusMinus: 2.04}, Target: target, Single: frameSingles(), Laid: framePast(),
				Views: []workshop.AreaView{{Photo: "front", Lab: ash},
					{Photo: "side", Lab: colour.Lab{L: 76.8, A: 3.9, B: 23.5}, DeltaE: 1, PlusMinus: 2.2}},
			},
			{
				Area:  piece.Area{Name: "panel", Wood: "sapele", Surface: "clear-coated", SizeM2: 0.84},
				Start: learn.Measured{Lab: sapele, PlusMinus: 1.88}, Target: target,
			},
			{Area: piece.Area{Name: "filled corner"}, Start: learn.Measured{Lab: filler, PlusMinus: 2.61}, Target: target},
		},
		Batches: []schedule.Batch{
			{
				Coating: "nut-brown wash", Amounts: []schedule.Amount{{Area: "frame", SizeM2: 0.6173, Coats: 3}},
				Unsized: []schedule.Amount{{Area: "filled corner", Coats: 3}},
				Spread:  schedule.SpreadRate{Low: 8, High: 12}, Needed: [2]float64{154, 231}, Mix: 270, Paint: 54, Thinner: 216,
			},
			{Coating: "amber glaze", Unsized: []schedule.Amount{{Area: "frame", Coats: 1}}, Spread: schedule.SpreadRate{Low: 10, High: 14}},
		},
		Mix: &plan.MixAnswer{
			OneMix: &plan.MixPlan{
				Parts: []plan.MixPart{{Coating: "nut-brown wash", Parts: 3}, {Coating: "amber glaze", Parts: 1}}, Water: 8,
				Areas: []plan.MixArea{{Name: "frame", Coats: 3, Water: 8, Lab: ashWashed[2], Grain: 0.6},
					{Name: "filled corner", Coats: 2, Water: 8, Lab: fillerWashed[1], Grain: math.NaN()}},
				DeltaE: plan.Spread{Median: 4, Low: 2.8, High: 6.1}, Grain: 0.6, Guess: true,
			},
			OneCount: &plan.MixPlan{
				Parts: []plan.MixPart{{Coating: "nut-brown wash", Parts: 1}},
				Areas: []plan.MixArea{{Name: "frame", Coats: 2, Lab: ashWashed[2], Grain: 0.58},
					{Name: "filled corner", Coats: 2, Water: 2, Lab: fillerWashed[1], Grain: math.NaN()}},
				DeltaE: plan.Spread{Median: 4.6, Low: 3, High: 7}, Grain: 0.58,
			},
			MixedMore: true,
		},
		Candidates: &plan.Candidates{On: "frame", Nearest: "amber", Ranked: []plan.RankedCandidate{
			candidate("burnt brown", colour.Lab{L: 31, A: 24, B: 25}, 0.3, 2.6), candidate("red earth", colour.Lab{L: 38, A: 30, B: 24}, 0, 3.9),
			candidate("amber", colour.Lab{L: 48, A: 22, B: 44}, 0, 8.2), candidate("walnut", colour.Lab{L: 27, A: 6, B: 8}, 0, 9.7)}},
		Ideal: &plan.IdealCoating{
			On: "frame", OneCoat: colour.Lab{L: 48.6, A: 19.2, B: 27.4}, Tint: colour.Lab{L: 41, A: 30, B: 26}, Hiding: 0.06, End: oldBoard,
			Areas: []plan.IdealArea{{Name: "frame", Coats: 2, DeltaE: 1.4, Grain: 0.86}, {Name: "panel", Coats: 1, DeltaE: 0.7, Grain: 0.9},
				{Name: "filled corner", Coats: 2, DeltaE: 1.9, Grain: math.NaN()}},
			Leaves: 1.9, Without: 30.7, Width: 3.2, Helps: true,
		},
		Tests: []plan.TestAdvice{
			{Way: plan.TestCoats, Coating: "nut-brown wash", Coats: 1, On: "frame", Now: 3.1, Then: 1.9, Gain: 0.9},
			{Way: plan.TestStrip, Coating: "amber glaze", Coats: 3, Now: 3.1, Then: 2.3, Gain: 0.6},
			{Way: plan.TestPhoto, Now: 3.1, Then: 3.1, Gain: 0.3},
		},
		Earlier: []workshop.Earlier{
			{Coating: "nut-brown wash", Pieces: []string{"hall bench", "sideboard"}, Results: 7, Alike: 4, SameBatch: 2},
			{Coating: "amber glaze", Pieces: []string{"sideboard"}, Chip: true},
		},
		Bias: learn.Bias{Film: 0.12, Wider: 1.3}, Pieces: 2,
		Warnings: []fault.Note{fault.Say("reading.uneven-light", "share", 0.12).In(fault.Place{File: "front"})},
	}
	more := framePlan()
	more.Coats, more.Path, more.OneMore, more.Grain = washes(2, 2, 2), more.Path[:3], more.Path[3], 0.73
	more.After = ofStep(more.Path[2])
	r.Choices = []plan.Choice{choiceOf(framePlan(), panelPlan(), cornerPlan()), choiceOf(more, panelPlan(), cornerPlan())}
	for i := range r.Areas {
		r.Areas[i].Plan = &r.Choices[0].Areas[i]
	}
	return r
}

// cabinetWhatIf is that plan with other coats beside it: one on the frame and two on the panel.
func cabinetWhatIf() *workshop.PlanResult {
	r := cabinetPlan()
	frame, panel := framePlan(), panelPlan()
	frame.Coats, frame.Path, frame.OneMore, frame.Grain = washes(1, 1, 1), frame.Path[:2], frame.Path[2], 0.86
	frame.After = ofStep(frame.Path[1])
	panel.Coats, panel.Path, panel.Grain = washes(len(panel.Path), len(panel.Path), len(panel.Path)),
		append(slices.Clone(panel.Path), panel.OneMore), 0.21
	panel.After = ofStep(panel.Path[len(panel.Path)-1])
	r.WhatIf = &workshop.WhatIf{Choice: choiceOf(frame, panel, cornerPlan()), Expected: make([][]plan.Expected, 3)}
	return r
}

// meeting brings frame, panel and corner together by so many coats on each.
func meeting(common colour.Lab, grain float64, counts [3]int) plan.Choice {
	starts := []colour.Lab{ash, sapele, filler}
	var areas []plan.AreaPlan
	for i, after := range [][]colour.Lab{append(ashWashed[:4:4], ashWashed[3]), {sapeleWashed, {L: 36.1, A: 12.5, B: 15.6}},
		append(fillerWashed[:3:3], fillerWashed[2])} {
		n := counts[i]
		areas = append(areas, onArea([]string{"frame", "panel", "filled corner"}[i], common, downTo(common, starts[i], after[:n]...),
			step(n+1, "nut-brown wash", after[n], common, 0.5), washes(n, n, n+1), grain, max(0, n-1)))
	}
	return choiceOf(areas...)
}

// cabinetMeeting is the plan without a target, in US units and without a reference: frame, panel and corner
// are to meet.
func cabinetMeeting() *workshop.PlanResult {
	common := colour.Lab{L: 45.9, A: 14.4, B: 22}
	choices := []plan.Choice{meeting(common, 0.2, [3]int{4, 1, 3}), meeting(common, 0.6, [3]int{3, 0, 2})}
	r := &workshop.PlanResult{
		Piece: cabinet(), Coatings: shelf()[:1], Relative: true,
		Photos:  []workshop.PhotoCalibration{{Name: "front", Calibration: byNothing()}},
		Choices: choices,
		Batches: []schedule.Batch{{
			Coating: "nut-brown wash", Amounts: []schedule.Amount{{Area: "frame", SizeM2: 0.6173, Coats: 3}},
			Unsized: []schedule.Amount{{Area: "filled corner", Coats: 3}},
			Spread:  schedule.SpreadRate{Low: 9.8, High: 9.8, FromLabel: true}, Needed: [2]float64{189, 189}, Mix: 230,
		}},
	}
	r.AsGood = []plan.Choice{meeting(common, 0.2, [3]int{4, 0, 3})}
	r.Piece.Units, r.Piece.Spare, r.Piece.Clear, r.Piece.Coatings = "us", 0.2, nil, r.Piece.Coatings[:1]
	r.Areas = []workshop.AreaPlan{
		{Area: piece.Area{Name: "frame", Wood: "ash", Surface: "sealed", SizeM2: 0.6173},
			Start: learn.Measured{Lab: ash, PlusMinus: 2.04}, Laid: framePast()[:1]},
		{Area: piece.Area{Name: "panel", Wood: "sapele"}, Start: learn.Measured{Lab: sapele, PlusMinus: 1.88}},
		{Area: piece.Area{Name: "filled corner"}, Start: learn.Measured{Lab: filler, PlusMinus: 2.61}},
	}
	for i := range r.Areas {
		r.Areas[i].Plan = &r.Choices[0].Areas[i]
	}
	return r
}

// cabinetSchedule is when the work of the plan is done.
func cabinetSchedule() *workshop.Schedule {
	at := func(hours float64) time.Time { return morning.Add(time.Duration(hours * float64(time.Hour))) }
	wash := func(coat int, hour float64, areas ...string) schedule.Step {
		return schedule.Step{
			At: at(hour), Work: schedule.LayCoat, Takes: 30 * time.Minute, Areas: areas, Coating: "nut-brown wash", Coat: coat,
			WaitSource: fault.Say("schedule.label"),
		}
	}
	before := func(coat schedule.Step, w schedule.Work, early time.Duration, grit int, why fault.Code) schedule.Step {
		return schedule.Step{
			At: coat.At.Add(-early), Work: w, Takes: 15 * time.Minute, Areas: coat.Areas, Coating: coat.Coating, Coat: coat.Coat, Grit: grit,
			Why: fault.Say(why),
		}
	}
	clean := schedule.Step{
		At: at(0.25), Work: schedule.Clean, Takes: 30 * time.Minute, Areas: []string{"frame", "panel", "filled corner"},
		Why: fault.Say("timetable.why-clean"),
	}
	lead := schedule.Step{
		At: at(0), Work: schedule.LeadTest, Takes: 15 * time.Minute, Areas: []string{"frame", "panel", "filled corner"},
		Why: fault.Say("timetable.why-lead"),
	}
	old := schedule.Step{
		At: at(2.75), Work: schedule.ScuffOld, Takes: 30 * time.Minute, Areas: []string{"frame", "panel"}, Grit: 320,
		Why: fault.Say("timetable.why-scuff-old", "lead", "yes"), Does: []schedule.Practice{schedule.WetSanding},
	}
	first, second, third := wash(1, 3.25, "frame", "filled corner"), wash(2, 7.5, "frame", "filled corner"), wash(3, 24.5, "frame")
	first.WaitSource = fault.Note{}
	second.Earliest, third.Earliest = at(7.25), at(11.5)
	third.Latest, third.Inspect = at(52), true
	seal := schedule.Step{
		At: at(33), Earliest: at(33), Work: schedule.SealCoat, Takes: 30 * time.Minute, Areas: []string{"filled corner"},
		Coating: "dewaxed shellac",
		Why:     fault.Say("timetable.why-seal", "under", "umber glaze", "over", "nut-brown wash"), WaitSource: fault.Say("schedule.label"),
	}
	clear := schedule.Step{
		At: at(48), Earliest: at(48), Work: schedule.LayCoat, Takes: 30 * time.Minute, Areas: []string{"frame", "panel", "filled corner"},
		Coating: "water-borne clear", Coat: 1, Clear: true, WaitSource: fault.Say("schedule.unknown-wait"), Assumed: true,
	}
	cure := schedule.Step{
		At: at(52), Work: schedule.Cure, Takes: 15 * time.Minute, Coating: "water-borne clear",
		Why: fault.Say("timetable.why-cure", "care", 3, "full", 21),
	}
	yes := true
	return &workshop.Schedule{
		Timetable: schedule.Timetable{
			Steps: []schedule.Step{
				lead, clean, old, first, before(second, schedule.Scuff, 15*time.Minute, 320, "timetable.why-scuff"), second,
				before(third, schedule.Stop, 30*time.Minute, 0, "timetable.why-stop"),
				before(third, schedule.Scuff, 15*time.Minute, 320, "timetable.why-scuff"),
				third, seal, clear, cure,
			},
			Ready: at(52), Days: 3, Fit: []fault.Note{fault.Say("layer.seal", "under", "umber glaze", "over", "nut-brown wash")},
			Warnings: []fault.Note{fault.Say("schedule.room-unknown", "needs", 18)},
		},
		Bench: schedule.Bench{Start: morning},
		Cautions: schedule.Cautions(schedule.Circumstance{
			YearMade: 1930, Country: "uk", OldFinish: &yes, Children: &yes, RedWood: true, Filled: true, WaterBorne: true, Alcohol: true,
		}),
	}
}
