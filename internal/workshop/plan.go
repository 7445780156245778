package workshop

import (
	"context"
	"math"
	"slices"

	"huewright/blend/learn"
	"huewright/blend/plan"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// A PlanRequest asks how many coats each area of a piece needs.
type PlanRequest struct {
	Piece piece.Piece `json:"piece"`
	Past  *Past       `json:"past,omitempty"` // what a log tells of earlier pieces; nil for none
	// WhatIf are coats that are to be shown beside the plan's own, as in "frame=1 panel=2 pale wash + 1 brown glaze"; "" for none. They
	// change nothing of the plan.
	WhatIf string `json:"what_if,omitempty"`
	// Chosen are the coats of the plan that somebody chose among those that were put forward; none is the suggested one.
	Chosen []ChosenCoats `json:"chosen,omitempty"`
}

// Plan measures a piece, learns its coatings and plans every area: to its target, or, where no
// area has one, so that all meet.
func Plan(ctx context.Context, files Files, req PlanRequest) (*PlanResult, error) {
	photos, err := OpenPhotos(ctx, files, &req.Piece)
	if err != nil {
		return nil, err
	}
	return PlanFrom(ctx, photos, &req)
}

// PlanFrom is Plan for photos that are open already, those of the piece of a request, and stay so for previews.
func PlanFrom(ctx context.Context, photos *Photos, req *PlanRequest) (*PlanResult, error) {
	g := &groundwork{photos: photos, past: req.Past}
	var err error
	if g.read, err = readPiece(ctx, photos); err != nil {
		return nil, err
	}
	if g.data, err = newPlanData(photos, g.read, req.Past); err != nil {
		return nil, err
	}
	if g.predicted, err = predictLaid(ctx, photos.piece, g.data, g.read); err != nil {
		return nil, err
	}
	if g.samples, err = g.data.dataset.Draw(ctx, learn.Options{}); err != nil {
		return nil, err
	}
	if g.planned, err = plan.Make(ctx, g.samples, g.data.problem); err != nil {
		return nil, err
	}
	return g.result(ctx, req)
}

// A groundwork is what all choices of one plan stand on.
type groundwork struct {
	photos    *Photos
	past      *Past
	read      *readings
	data      *planData
	predicted [][]plan.Prediction
	samples   *learn.Samples
	planned   *plan.Plan
}

// result is what comes of the choice that a request asks for.
func (g *groundwork) result(ctx context.Context, req *PlanRequest) (*PlanResult, error) {
	photos, data, read := g.photos, g.data, g.read
	at, gone := chosenPlace(req.Chosen, photos.piece, g.planned)
	found, err := findCounts(ctx, photos.piece, data, g.samples, g.planned.Choose(at), photos.candidates)
	if err != nil {
		return nil, err
	}
	samples := found.samples
	result := &PlanResult{
		Piece: *photos.piece, Finished: data.problem.Finished, Coatings: learned(samples), Best: samples.Best,
		Choices: found.plan.Choices, AsGood: found.plan.AsGood, TouchUps: found.touchUps, Mix: found.mix, Tests: found.tests, Ideal: found.ideal,
		Candidates: found.candidates, Chosen: at > 0,
		Between: photos.between, Earlier: data.earlier, Readings: read.all, groundwork: g,
	}
	if g.past != nil {
		result.Bias, result.Pieces = g.past.Bias, g.past.Pieces
	}
	for _, s := range photos.opened() {
		result.Photos = append(result.Photos, PhotoCalibration{s.name, s.calibration})
		result.Relative = result.Relative || s.calibration.Relative
	}
	for i := range photos.piece.Areas {
		result.Areas = append(result.Areas, areaPlan(&photos.piece.Areas[i], data, i, read, g.predicted, found))
	}
	result.Batches = batches(result)
	for i := range result.Areas {
		if result.Areas[i].Expected, err = expect(ctx, samples, result, &result.Areas[i]); err != nil {
			return nil, err
		}
	}
	if result.WhatIf, err = whatIf(ctx, req.WhatIf, data, samples, found.plan, result); err != nil {
		return nil, err
	}
	result.Warnings = fault.Once(slices.Concat(gone, photos.piece.Notes(), photos.warnings, read.warnings, photos.unlike()))
	return result, nil
}

// learned is what the samples know of the shelf.
func learned(w *learn.Samples) (all []LearnedCoating) {
	for k := range w.Best.Coatings {
		coating := &w.Best.Coatings[k]
		limit := coating.Limit()
		all = append(all, LearnedCoating{coating, w.Reports[k], limit.Lab()})
	}
	return all
}

// A finding is the solution of the planning problem, the mixes that could serve instead, the next tests, and what to buy.
type finding struct {
	plan  *plan.Plan
	mix   *plan.MixAnswer
	tests []plan.TestAdvice
	ideal *plan.IdealCoating

	candidates *plan.Candidates

	touchUps []plan.TouchUp
	areas    []plan.Area    // as they are when the coats begin: spots that are touched up are
	samples  *learn.Samples // in which areas have their colours
}

func findCounts(
	ctx context.Context, p *piece.Piece, d *planData, w *learn.Samples, planned *plan.Plan, candidates []plan.Candidate,
) (*finding, error) {
	var err error
	systematic := map[string]float64{}
	for i, a := range d.areas {
		systematic[p.Areas[i].Name] = a.now.Systematic
	}
	f := &finding{areas: slices.Clone(d.problem.Areas)}
	if f.touchUps, f.samples, err = touchUps(ctx, p, w, d.problem, &planned.Choices[0], f.areas); err != nil {
		return nil, err
	}
	f.plan = widened(planned, systematic)
	if f.tests, err = plan.NextTests(ctx, f.plan); err != nil {
		return nil, err
	}
	if f.mix, err = plan.Mixes(ctx, w, d.problem, shares(p)); err != nil {
		return nil, err
	}
	if f.ideal, err = plan.Ideal(ctx, w, d.problem, planned); err != nil || len(candidates) == 0 {
		return f, err
	}
	f.candidates, err = plan.Rank(ctx, w, d.problem, planned, candidates)
	return f, err
}

// shares are the paint's shares of the coatings as they will be used.
func shares(p *piece.Piece) (all []float64) {
	for _, k := range p.Coatings {
		all = append(all, k.Dilution.Share())
	}
	return all
}

// touchUps finds what to touch the spots of a piece up with before the coats of a choice, and puts them, touched up, in the place of spots
// as they are: in the choice and among areas. It returns the samples in which they have their colours.
func touchUps(
	ctx context.Context, p *piece.Piece, w *learn.Samples, problem plan.Problem, c *plan.Choice, areas []plan.Area,
) ([]plan.TouchUp, *learn.Samples, error) {
	all, with, err := plan.TouchUps(ctx, w, problem, c, shares(p))
	if err != nil {
		return nil, nil, err
	}
	for i := range all {
		at := slices.IndexFunc(areas, func(a plan.Area) bool { return a.Name == all[i].Area })
		c.Areas[at], areas[at] = *all[i].Plan, all[i].Touched
	}
	return all, with, nil
}

// widened is a plan with the systematic error of each area's photo added to the uncertainty of predicted colours.
// All colours of the photo share that error: differences stay as they are. What a target in figures does not share is in the samples.
func widened(planned *plan.Plan, systematic map[string]float64) *plan.Plan {
	wide := *planned
	wide.Choices, wide.AsGood = widenedChoices(planned.Choices, systematic), widenedChoices(planned.AsGood, systematic)
	return &wide
}

func widenedChoices(choices []plan.Choice, systematic map[string]float64) (all []plan.Choice) {
	for _, c := range choices {
		c.Areas = slices.Clone(c.Areas)
		for i := range c.Areas {
			a := &c.Areas[i]
			a.Path = slices.Clone(a.Path)
			for n := range a.Path {
				a.Path[n].PlusMinus = math.Hypot(a.Path[n].PlusMinus, systematic[a.Name])
			}
			a.OneMore.PlusMinus = math.Hypot(a.OneMore.PlusMinus, systematic[a.Name])
		}
		all = append(all, c)
	}
	return all
}

// areaPlan is the result for area number i, without Expected.
func areaPlan(area *piece.Area, d *planData, i int, read *readings, predicted [][]plan.Prediction, found *finding) AreaPlan {
	bare := read.of(AreaKey(area, 0))
	a := AreaPlan{Area: *area, Start: d.areas[i].now.Measured, Views: bare.Views, Asked: found.areas[i],
		Systematic: d.areas[i].now.Systematic}
	if a.Area.SizeM2 == 0 {
		a.Area.SizeM2 = bare.SquareMetres
	}
	if target := d.areas[i].target; target != nil {
		measured := target.Measured
		a.Target = &measured
	}
	for n := range area.Laid {
		report := LaidReport{Coats: coatsOf(area.Laid[:n+1])}
		if predicted != nil {
			report.Prediction = predicted[i][n]
			report.Causes = report.Prediction.Causes()
		}
		a.Laid = append(a.Laid, report)
	}
	a.Plan, a.Single = &found.plan.Choices[0].Areas[i], found.plan.Single[i]
	return a
}

// expect predicts what an area will be measured as after each of the suggested coats, and after one more.
func expect(ctx context.Context, w *learn.Samples, r *PlanResult, a *AreaPlan) ([]plan.Expected, error) {
	var coats []plan.Layer
	for _, c := range a.Plan.Coats {
		if k := r.shelfPlace(c.Coating); c.Count > 0 {
			coats = append(coats, plan.Layer{Coating: k, Coats: c.Count})
		}
	}
	if n := len(coats); n > 0 {
		coats[n-1].Coats++
	} else if next := r.shelfPlace(a.Plan.OneMore.Coating); next >= 0 {
		coats = []plan.Layer{{Coating: next, Coats: 1}}
	}
	all, err := plan.Expect(ctx, w, a.Asked, coats)
	for n := range all {
		all[n].PlusMinus = math.Hypot(all[n].PlusMinus, a.Systematic)
	}
	return all, err
}
