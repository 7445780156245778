package repair

import (
	"math"
	"slices"

	"huewright/colour"
	"huewright/internal/stat"
)

// An Appearance is a repair beside its wood, and equal patches of the wood beside theirs: as they
// are, or as they are seen from a distance.
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
	Of100    float64            // so many of 100 patches are less unlike their surroundings than the repair is
	ByAspect map[string]float64 // the same, in each aspect
	Patches  int
}

const unlikeFrom = 95.0 // of 100 patches

// unlike reports whether the repair stands out in the wood: more than 95 of 100 patches.
func (r *Rank) unlike() bool { return r.Of100 > unlikeFrom }

// unlikeIn reports whether the repair stands out in one aspect.
func (r *Rank) unlikeIn(aspect string) bool { return r.ByAspect[aspect] > unlikeFrom }

// rank ranks a repair among patches. Each is compared with its own ring by the Mahalanobis distance among
// the patches that do not overlap it: wood varies along one line, lighter and yellower or darker and redder,
// and hardly off it. Patches that overlap would make a patch look a little more alike than the repair, which
// none overlaps. How unlike a patch is in the whole is its highest rank in any aspect, ranked again.
func (l *Appearance) rank() Rank {
	n := len(l.Patches)
	all := append(slices.Clone(l.Patches), l.Repair) // the repair last
	distances := make([][]float64, len(Aspects))
	for i, aspect := range Aspects {
		distances[i] = l.distances(all, aspect)
	}
	rank := Rank{ByAspect: map[string]float64{}, Patches: n}
	highest := make([]float64, n+1)
	for i, aspect := range Aspects {
		sorted := slices.Sorted(slices.Values(distances[i][:n]))
		for k, d := range distances[i] {
			highest[k] = max(highest[k], stat.MidRank(sorted, d))
		}
		rank.ByAspect[aspect] = 100 * stat.MidRank(sorted, distances[i][n])
	}
	// Ties are broken by how unusual the most unusual aspect is.
	for k, tie := range mostUnusual(distances) {
		highest[k] += 1e-3 * tie
	}
	rank.Of100 = 100 * stat.MidRank(slices.Sorted(slices.Values(highest[:n])), highest[n])
	return rank
}

// mostUnusual returns of each patch its largest distance over the median of that aspect, mapped to 0–1.
func mostUnusual(distances [][]float64) []float64 {
	out := make([]float64, len(distances[0]))
	for _, d := range distances {
		median := stat.Quantile(d[:len(d)-1], 0.5) + 1e-9
		for k := range d {
			out[k] = max(out[k], d[k]/median)
		}
	}
	for k, v := range out {
		out[k] = v / (1 + v)
	}
	return out
}

// distances returns the Mahalanobis distance of each patch from those that do not overlap it, in one aspect.
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

const (
	aspectFloor = 1e-6 // least variance of an aspect, in the squares of its own units
	spreadFloor = 0.2  // L*, keeps the ratio of two spreads from growing without bound where both are next to nothing
	grainFloor  = 0.1  // the same of grain
)

// aspectOf returns how a patch differs from its ring in one aspect: three numbers, or one and zeros. It panics for an
// unknown aspect.
func aspectOf(b *colour.PatchAndRing, aspect string) [3]float64 {
	p, r := &b.Patch, &b.Ring
	difference := func(x, y colour.Lab) [3]float64 { return [3]float64{x.L - y.L, x.A - y.A, x.B - y.B} }
	logRatio := func(x, y, floor float64) [3]float64 { return [3]float64{math.Log((x + floor) / (y + floor))} }
	switch aspect {
	case aspectColour:
		return difference(p.Mean, r.Mean)
	case aspectGround:
		return difference(p.Ground, r.Ground)
	case aspectFigure:
		return difference(p.Figure, r.Figure)
	case aspectSpread:
		return logRatio(p.Spread, r.Spread, spreadFloor)
	case aspectGrain:
		return logRatio(p.Grain, r.Grain, grainFloor)
	case aspectDirection:
		return [3]float64{turned(p.Along, r.Along) * min(p.Coherence, r.Coherence)}
	case aspectEdge:
		return [3]float64{b.Line}
	}
	panic("repair: no aspect of a patch is called " + aspect)
}

// turned returns the angle between two directions of grain, −90 to 90 degrees.
func turned(a, b float64) float64 { return math.Remainder(a-b, 180) }
