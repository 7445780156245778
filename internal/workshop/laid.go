package workshop

import (
	"context"
	"slices"

	"huewright/blend/learn"
	"huewright/blend/plan"
	"huewright/internal/piece"
)

// predictLaid compares every reading under coats on the piece with the prediction from chips and test coats
// alone: for each area, after each of its coats. It is nil where no prediction was possible.
func predictLaid(ctx context.Context, p *piece.Piece, d *planData, read *readings) ([][]plan.Prediction, error) {
	if !slices.ContainsFunc(p.Areas, func(a piece.Area) bool { return len(a.Laid) > 0 }) {
		return nil, nil
	}
	before := d.dataset
	before.Shelf = slices.Clone(d.dataset.Shelf)
	for k := range before.Shelf {
		before.Shelf[k].Evidence.Tests = slices.DeleteFunc(slices.Clone(before.Shelf[k].Evidence.Tests), func(t learn.TestCoat) bool {
			return t.OnPiece && t.From == learn.OfThisPiece
		})
	}
	if slices.ContainsFunc(before.Shelf, func(k learn.ShelfCoating) bool { return k.Evidence.Chip == nil && len(k.Evidence.Tests) == 0 }) {
		return nil, nil // a coating is known from the piece alone: no prediction was possible
	}
	before.Colours = slices.Clone(d.dataset.Colours)
	for i := range p.Areas {
		for n := range p.Areas[i].Laid {
			before.Colours = append(before.Colours, read.of(AreaKey(&p.Areas[i], n+1)).Measured)
		}
	}
	samples, err := before.Draw(ctx, learn.Options{})
	if err != nil {
		return nil, err
	}
	all := make([][]plan.Prediction, len(p.Areas))
	at := len(d.dataset.Colours)
	for i := range p.Areas {
		bare := d.problem.Areas[i]
		bare.Mean, bare.Light, bare.Dark, bare.Laid = d.areas[i].bare, plan.None, plan.None, nil
		for n := range p.Areas[i].Laid {
			seen, err := plan.Predict(ctx, samples, bare, d.laidOf(coatsOf(p.Areas[i].Laid[:n+1])), at)
			if err != nil {
				return nil, err
			}
			all[i] = append(all[i], seen)
			at++
		}
	}
	return all, nil
}
