package workshop

import (
	"context"
	"image"
	"slices"

	"huewright/blend/plan"
)

// Counts shows one area at other counts than those put forward, the others as they are.
func (p *Preview) Counts(ctx context.Context, area string, coats []plan.CoatCount) (image.Image, Shown, error) {
	i := slices.IndexFunc(p.plan.Areas, func(a AreaPlan) bool { return a.Area.Name == area })
	if i < 0 {
		return nil, Shown{}, noArea(&p.plan.Piece, area)
	}
	c, err := p.fresh(ctx, p.photoOf(&p.plan.Areas[i]))
	if err != nil {
		return nil, Shown{}, err
	}
	shown, err := p.recolour(ctx, c, nil, i, coats)
	if err != nil {
		return nil, Shown{}, err
	}
	return c.Picture(), shown, nil
}
