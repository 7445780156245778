package imageio

import (
	"context"
	"math"
	"slices"

	"huewright/colour"
)

// ChartSearch says which chart is looked for. The zero value looks for the only one there is.
type ChartSearch struct {
	At      *Point         // of several charts, the one that has this point in its patch field
	Edition colour.Edition // of its published values; default since November 2014
}

// A FoundChart is a chart that was found in a photo.
type FoundChart struct {
	Corners [4]Point // of the patch field, as FitChart takes them
	Misfit  float64  // mean ΔE00 of its patches from a fit to them
	Next    float64  // the same for the best of the other ways round
}

// thumbSides is how long a thumb is at most, for each time the search is run: first where charts
// show that fill a fifth of the photo, then finer for smaller ones.
var thumbSides = [...]int{512, 1024, 2048}

// tiledSide is the first of them whose colours tell where a small chart may be.
const tiledSide = 1024

// FindChart looks for the 24-patch chart. Every error is a *ChartError, or that of the context.
func (p *Photo) FindChart(ctx context.Context, opt ChartSearch) (*FoundChart, error) {
	var all []finding
	var where *tiles
	last := 0
	for _, side := range thumbSides {
		k := (max(p.Width, p.Height) + side - 1) / side
		if k == last {
			break
		}
		t, err := p.thumb(ctx, k, where.rulesOut(float64(last)/float64(k)))
		if err != nil {
			return nil, err
		}
		last = k
		if where == nil {
			tiles, somewhere, err := t.tiles(ctx)
			if err != nil {
				return nil, err
			}
			switch {
			case side < tiledSide && !somewhere:
				continue // a large chart would show its colours; a small one may have lost them here
			case !somewhere:
				return p.choose(all, opt.At)
			case side >= tiledSide:
				where = tiles
			}
		}
		found, err := p.chartsOn(ctx, t, opt.Edition)
		if err != nil {
			return nil, err
		}
		all = append(all, found...)
		if slices.ContainsFunc(all, func(f finding) bool { return f.fault == "" }) {
			break
		}
	}
	return p.choose(all, opt.At)
}

// chartsOn lists what is on a thumb: charts, and cards that are not quite one.
func (p *Photo) chartsOn(ctx context.Context, t *thumb, edition colour.Edition) ([]finding, error) {
	var found []finding
	blobs, err := t.blobs(ctx)
	if err != nil {
		return nil, err
	}
	for _, l := range lattices(blobs) {
		f, ok, err := p.judgeLattice(ctx, t, &l, edition)
		switch {
		case err != nil:
			return nil, err
		case ok:
			found = append(found, f)
		case l.isCard(blobs):
			found = append(found, finding{fault: OtherCard, corners: l.outline(t.scale)})
		}
	}
	return found, nil
}

// judgeLattice judges the likeliest ways a chart may lie on a lattice.
func (p *Photo) judgeLattice(ctx context.Context, t *thumb, l *lattice, edition colour.Edition) (finding, bool, error) {
	const tries, likely = 3, 0.06
	best, ok := finding{misfit: math.Inf(1)}, false
	poses := t.poses(l)
	for i, q := range poses[:min(len(poses), tries)] {
		if i > 0 && q.misfit > poses[0].misfit+likely {
			break
		}
		f, fits, err := p.judge(ctx, q.pose, edition)
		if err != nil {
			return finding{}, false, err
		}
		if fits && f.misfit < best.misfit {
			best, ok = f, true
		}
	}
	return best, ok, nil
}

// choose picks the chart that is meant, or says why there is none.
func (p *Photo) choose(all []finding, at *Point) (*FoundChart, error) {
	if at != nil {
		all = slices.DeleteFunc(all, func(f finding) bool { return !within(f.corners, *at) })
	}
	slices.SortStableFunc(all, func(a, b finding) int { return b.shown - a.shown })
	var whole []finding
	for _, f := range all {
		if f.fault == "" && !slices.ContainsFunc(whole, func(w finding) bool { return within(w.corners, f.middle()) }) {
			whole = append(whole, f)
		}
	}
	switch {
	case len(whole) == 1:
		return &FoundChart{whole[0].corners, whole[0].misfit, whole[0].next}, nil
	case len(whole) > 1:
		return nil, p.severalCharts(whole)
	case len(all) > 0:
		return nil, p.faulty(&all[0])
	}
	return nil, p.noChart(at)
}

// middle is the place where a chart's diagonals cross.
func (f *finding) middle() Point { return planeOf(f.corners).point(0.5, 0.5) }
