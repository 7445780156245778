package chart

import (
	"cmp"
	"context"
	"math"
	"slices"

	"huewright/imageio"
	"huewright/imageio/internal/blob"
	"huewright/imageio/internal/lattice"
	"huewright/imageio/internal/plane"
	"huewright/internal/parallel"
)

// Search says which chart is looked for. The zero value looks for the only one there is.
type Search struct {
	At *imageio.Point // of several charts, the one that has this point in its patch field
	Options
}

// A Detection is a chart that was found in a photo.
type Detection struct {
	Corners [4]imageio.Point // of the patch field, as [Fit] takes them
	misfit  float64          // mean ΔE00 of its patches from a fit to them
	next    float64          // the same for the best of the other ways round
}

// searchSides are how long the downsampled pictures are at most that are searched one after another: the first
// shows charts that fill a fifth of the photo, finer ones show smaller charts.
var searchSides = [...]int{512, 1024, 2048}

// rangesSide is the first side whose tiles tell where a small chart may be.
const rangesSide = 1024

// Find looks for the 24-patch chart. Every error is a fault of kind Photo, or the context's.
func Find(ctx context.Context, p *imageio.Photo, opt Search) (*Detection, error) {
	var all []finding
	var where *tiles
	last := 0
	for _, side := range searchSides {
		k := (max(p.Width, p.Height) + side - 1) / side
		if k == 7 {
			k = 8 // which a JPEG holds ready
		}
		if k == last {
			break
		}
		t, err := blob.Downsample(ctx, p, k, where.rulesOut(float64(last)/float64(k)))
		if err != nil {
			return nil, err
		}
		last = k
		if where == nil {
			tiles, somewhere, err := tilesOf(ctx, t)
			if err != nil {
				return nil, err
			}
			switch {
			case side < rangesSide && !somewhere:
				continue // a large chart would show its colours; a small one may have lost them here
			case !somewhere:
				return choose(p, all, opt)
			case side >= rangesSide:
				where = tiles
			}
		}
		found, err := chartsOn(ctx, p, t, opt.Options)
		if err != nil {
			return nil, err
		}
		all = append(all, found...)
		if slices.ContainsFunc(all, func(f finding) bool { return f.flaw == "" }) {
			break
		}
	}
	return choose(p, all, opt)
}

// What a search may take is bounded here, whatever a picture shows. Our own choice, each with its reason.
const (
	// mostCompared of a picture's lattices have their colours compared with a chart's, the largest: photos have up to 8, a picture of coloured
	// squares thousands.
	mostCompared = 64
	// mostJudged of those are looked at in the full photo, those whose colours come nearest to a chart's.
	mostJudged = 12
	// mostUnlike is how badly the colours of a small picture may fit a chart's for that: of 302 charts in our tests, some covered, cut off
	// or in two lights, none fits worse than 0.41; of what is none 9 in 10 do.
	mostUnlike = 0.44
)

// chartsOn lists what is on a downsampled picture: charts, and cards that are not quite one.
func chartsOn(ctx context.Context, p *imageio.Photo, t *blob.Downsampled, opt Options) ([]finding, error) {
	var found []finding
	blobs, err := t.Blobs(ctx)
	if err != nil {
		return nil, err
	}
	lattices := lattice.Find(blobs)
	poses, err := likeliest(ctx, t, lattices, opt.logs())
	if err != nil {
		return nil, err
	}
	for i := range lattices {
		f, ok, err := judgePoses(ctx, p, poses[i], opt)
		switch {
		case err != nil:
			return nil, err
		case ok:
			found = append(found, f)
		case lattices[i].IsCard(blobs):
			found = append(found, finding{flaw: otherCard, corners: lattices[i].Outline(t.Scale)})
		}
	}
	return found, nil
}

// likeliest lists the ways a chart may lie on each lattice; none for lattices that are not among the best. The largest lattice comes first.
func likeliest(ctx context.Context, t *blob.Downsampled, lattices []lattice.Lattice, want *wantedLogs) ([][]candidate, error) {
	poses := make([][]candidate, len(lattices))
	if err := parallel.For(ctx, min(len(lattices), mostCompared), func(i int) { poses[i] = candidates(t, &lattices[i], want) }); err != nil {
		return nil, err
	}
	var order []int
	for i := range poses {
		if len(poses[i]) > 0 && poses[i][0].misfit <= mostUnlike {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(poses[a][0].misfit, poses[b][0].misfit) })
	judged := make([][]candidate, len(lattices))
	for _, i := range order[:min(len(order), mostJudged)] {
		judged[i] = poses[i]
	}
	return judged, nil
}

// judgePoses judges the likeliest ways a chart may lie on a lattice, the best of which comes first.
func judgePoses(ctx context.Context, p *imageio.Photo, all []candidate, opt Options) (finding, bool, error) {
	const tries, likely = 3, 0.06
	best, ok := finding{misfit: math.Inf(1)}, false
	for i, q := range all[:min(len(all), tries)] {
		if i > 0 && q.misfit > all[0].misfit+likely {
			break
		}
		f, fits, err := judge(ctx, p, q.pose, opt)
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
func choose(p *imageio.Photo, all []finding, opt Search) (*Detection, error) {
	at := opt.At
	if at != nil {
		all = slices.DeleteFunc(all, func(f finding) bool { return !plane.Encloses(f.corners, *at) })
	}
	slices.SortStableFunc(all, func(a, b finding) int { return b.shown - a.shown })
	var whole []finding
	for _, f := range all {
		if f.flaw == "" && !slices.ContainsFunc(whole, func(w finding) bool { return plane.Encloses(w.corners, plane.Centre(f.corners)) }) {
			whole = append(whole, f)
		}
	}
	switch {
	case len(whole) == 1:
		return &Detection{whole[0].corners, whole[0].misfit, whole[0].next}, nil
	case len(whole) > 1:
		return nil, severalCharts(p, whole)
	case len(all) > 0:
		return nil, faulty(p, &all[0], opt.Values != nil)
	}
	return nil, noChart(p, at)
}
