package repair

import (
	"math"
	"slices"

	"huewright/colour"
	"huewright/internal/stat"
)

// A Appearance is a repair beside its wood, and equal patches of the wood beside theirs: as they
// are, or as they are seen from somewhere.
type Appearance struct {
	Repair  colour.PatchAndRing
	Patches []colour.PatchAndRing
	Size    float64 // root of the repair's area, in the pixels that places are given in
}

// Aspects of a patch beside its ring, in which it may be unlike.
const (
	aspectColour    = "colour"
	aspectGround    = "ground"    // its lightest quarter
	aspectFigure    = "figure"    // its darkest quarter
	aspectSpread    = "spread"    // how much its lightness varies
	aspectGrain     = "grain"     // contrast of fine grain
	aspectDirection = "direction" // of the grain
	aspectEdge      = "edge"      // a line between it and the wood
)

// Aspects are all of them, in the order they are told.
var Aspects = []string{aspectColour, aspectGround, aspectFigure, aspectSpread, aspectGrain, aspectDirection, aspectEdge}

// A Rank is how unlike a repair is, among equal patches of its wood.
type Rank struct {
	Of100    float64 // so many of 100 patches are less unlike their surroundings than the repair is
	ByAspect map[string]float64
	Patches  int
}

// Unlike reports whether the repair stands out in the wood: more than 95 of 100 patches.
func (r *Rank) Unlike() bool { return r.Of100 > unlikeFrom }

const unlikeFrom = 95.0

// Rank ranks a repair among patches. Each is compared with its own ring, in the metric of how the
// patches themselves differ from theirs: the wood varies along one line, lighter and yellower or
// darker and redder, and hardly off it. For each patch the metric is that of the patches that do
// not overlap it, as none overlaps the repair: otherwise they would all look a little more alike
// than it. Unlike in the whole is who is most unlike in any one aspect, and that again is ranked
// among the patches.
func (l *Appearance) Rank() Rank {
	n := len(l.Patches)
	all := append(slices.Clone(l.Patches), l.Repair) // the repair last
	apart := make([][]float64, len(Aspects))
	for i, aspect := range Aspects {
		apart[i] = l.distances(all, aspect)
	}
	ranks := Rank{ByAspect: map[string]float64{}, Patches: n}
	most := make([]float64, n+1)
	for i, aspect := range Aspects {
		sorted := slices.Sorted(slices.Values(apart[i][:n]))
		for k, d := range apart[i] {
			most[k] = max(most[k], stat.MidRank(sorted, d))
		}
		ranks.ByAspect[aspect] = 100 * stat.MidRank(sorted, apart[i][n])
	}
	// Of those that are unlike all others in some aspect, the one that is most so.
	beyond := l.mostUnusual(apart)
	for k := range most {
		most[k] += 1e-3 * beyond[k]
	}
	ranks.Of100 = 100 * stat.MidRank(slices.Sorted(slices.Values(most[:n])), most[n])
	return ranks
}

// mostUnusual is, between 0 and 1, how far each is from the usual in its most unusual aspect.
func (l *Appearance) mostUnusual(apart [][]float64) []float64 {
	out := make([]float64, len(apart[0]))
	for _, d := range apart {
		usual := stat.Quantile(d[:len(d)-1], 0.5) + 1e-9
		for k := range d {
			out[k] = max(out[k], d[k]/usual)
		}
	}
	for k, v := range out {
		out[k] = v / (1 + v)
	}
	return out
}

// distances is how far each is from what patches are beside their rings, in one aspect.
func (l *Appearance) distances(all []colour.PatchAndRing, aspect string) []float64 {
	values := make([][3]float64, len(all))
	for i := range all {
		values[i] = aspectOf(&all[i], aspect)
	}
	out := make([]float64, len(all))
	for i := range all {
		others := stat.Moments{Floor: aspectFloor}
		for k := range l.Patches {
			if k != i && math.Hypot(all[k].X-all[i].X, all[k].Y-all[i].Y) >= l.Size {
				others.Add(values[k])
			}
		}
		out[i] = others.Distance(values[i])
	}
	return out
}

// aspectFloor is the least variance of an aspect, in the squares of its own units.
const aspectFloor = 1e-6

// spreadFloor keeps the ratio of two spreads from growing without bound where both are next to nothing, L*.
const spreadFloor = 0.2

// aspectOf is how a patch differs from its ring in one aspect: three numbers, or one and zeros.
func aspectOf(b *colour.PatchAndRing, aspect string) [3]float64 {
	p, r := &b.Patch, &b.Ring
	off := func(x, y colour.Lab) [3]float64 { return [3]float64{x.L - y.L, x.A - y.A, x.B - y.B} }
	ratio := func(x, y, floor float64) [3]float64 { return [3]float64{math.Log((x + floor) / (y + floor))} }
	switch aspect {
	case aspectColour:
		return off(p.Mean, r.Mean)
	case aspectGround:
		return off(p.Ground, r.Ground)
	case aspectFigure:
		return off(p.Figure, r.Figure)
	case aspectSpread:
		return ratio(p.Spread, r.Spread, spreadFloor)
	case aspectGrain:
		return ratio(p.Grain, r.Grain, 0.1)
	case aspectDirection:
		return [3]float64{turned(p.Along, r.Along) * min(p.Coherence, r.Coherence)}
	case aspectEdge:
		return [3]float64{b.Line}
	}
	panic("blend: no aspect of a patch is called " + aspect)
}

// turned is the angle between two directions of grain, −90 to 90 degrees.
func turned(a, b float64) float64 { return math.Remainder(a-b, 180) }
