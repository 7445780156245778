package carry

import (
	"context"
	"math"
	"math/rand/v2"

	"huewright/imageio"
	"huewright/imageio/internal/plane"
)

const (
	samples     = 6000 // of four pairs
	mostLarger  = 3.0  // times that a face may be seen larger or smaller
	mostSlanted = 2.2  // times that one side of a face may be seen nearer than another
)

// agreed is the homography that most pairs agree about within so many pixels, and which pairs those are. The first pairs are tried more
// often. face is the box in the first photo that it is wanted for.
//
// Source: Fischler and Bolles (1981), Random sample consensus, doi:10.1145/358669.358692.
func agreed(ctx context.Context, all []pair, face [4]imageio.Point, within float64, seed uint64) (best plane.Homography, in []pair) {
	rng := rand.New(rand.NewPCG(seed, 0x5eed))
	most := 0.0
	for n := range samples {
		if n%256 == 0 && ctx.Err() != nil {
			return best, nil
		}
		first := min(len(all), 12+n*len(all)/(samples/2)) // of those that are surest
		var four [4]pair
		for i := range four {
			four[i] = all[rng.IntN(first)]
		}
		if h, ok := through(four[:]); ok && sensible(&h, face) {
			if score := support(&h, all, within); score > most {
				most, best = score, h
			}
		}
	}
	if most == 0 {
		return best, nil
	}
	for _, share := range [...]float64{1, 0.8, 0.6} {
		in = inside(&best, all, share*within)
		if h, ok := through(in); ok && sensible(&h, face) && support(&h, all, within) >= 0.9*most {
			best = h
		}
	}
	return best, inside(&best, all, within)
}

// through is the homography nearest to pairs.
func through(all []pair) (plane.Homography, bool) {
	from, to := make([]imageio.Point, len(all)), make([]imageio.Point, len(all))
	for i, p := range all {
		from[i], to[i] = p.from, p.to
	}
	return plane.Fit(from, to)
}

// sensible reports whether a face is seen by a homography as two photos may show it: not mirrored, not much larger or smaller, not from
// the edge.
func sensible(h *plane.Homography, face [4]imageio.Point) bool {
	var seen [4]imageio.Point
	near, far := math.Inf(1), 0.0
	for i, p := range face {
		w := h.Depth(p.X, p.Y)
		if !(w > 0) {
			return false
		}
		near, far = min(near, w), max(far, w)
		seen[i] = h.Point(p.X, p.Y)
	}
	turn := func(q [4]imageio.Point, i int) float64 {
		a, b, c := q[i], q[(i+1)%4], q[(i+2)%4]
		return (b.X-a.X)*(c.Y-b.Y) - (b.Y-a.Y)*(c.X-b.X)
	}
	for i := range 4 {
		grown := turn(seen, i) / turn(face, i) // area
		if !(grown > 1/(mostLarger*mostLarger) && grown < mostLarger*mostLarger) {
			return false
		}
	}
	return far < mostSlanted*near
}

// off is how far a homography is from a pair, pixels of the second photo.
func off(h *plane.Homography, p *pair) float64 {
	at := h.Point(p.from.X, p.from.Y)
	return math.Hypot(at.X-p.to.X, at.Y-p.to.Y)
}

// support is how well pairs agree about a homography: 1 for each on it, less up to the bound.
func support(h *plane.Homography, all []pair, within float64) (sum float64) {
	for i := range all {
		if d := off(h, &all[i]) / within; d < 1 {
			sum += 1 - d*d
		}
	}
	return sum
}

func inside(h *plane.Homography, all []pair, within float64) (in []pair) {
	for i := range all {
		if off(h, &all[i]) < within {
			in = append(in, all[i])
		}
	}
	return in
}
