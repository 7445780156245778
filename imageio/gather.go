package imageio

import (
	"context"
	"math"

	"huewright/colour"
	"huewright/internal/parallel"
)

// pixelSet is the pixels of an area: all of them, or those on a square lattice when there are
// more than are worth reading.
type pixelSet struct {
	step  int // of the lattice, in pixels; 1 is every pixel
	at    []pixelPlace
	light []colour.LinearRGB
	near  []uint8 // how many channels of each are near-clipped
}

type pixelPlace struct{ x, y int32 }

func (p pixelPlace) centre() Point { return Point{float64(p.x) + 0.5, float64(p.y) + 0.5} }

// latticeStep is the smallest step that leaves at most limit of n pixels, as near as the
// shape of the area lets it.
func latticeStep(n, limit int) int {
	return max(1, int(math.Ceil(math.Sqrt(float64(n)/float64(limit)))))
}

// run is a part of a row that is on the lattice, and where its pixels go in the set.
type run struct{ y, x, n, to int }

func latticeRuns(spans []span, step int) (runs []run, total int) {
	for _, s := range spans {
		if s.y%step != 0 {
			continue
		}
		first := (s.x0 + step - 1) / step * step
		if first >= s.x1 {
			continue
		}
		n := (s.x1-1-first)/step + 1
		runs = append(runs, run{s.y, first, n, total})
		total += n
	}
	return runs, total
}

// gather reads the pixels of an area from the photo.
func (p *Photo) gather(ctx context.Context, spans []span, step int) pixelSet {
	runs, total := latticeRuns(spans, step)
	set := pixelSet{
		step:  step,
		at:    make([]pixelPlace, total),
		light: make([]colour.LinearRGB, total),
		near:  make([]uint8, total),
	}
	limit := p.pixels.nearClip()
	inParts(ctx, len(runs), 32, func(from, to int) {
		for _, r := range runs[from:to] {
			for i := range r.n {
				x := r.x + i*step
				red, green, blue := p.code(x, r.y)
				set.at[r.to+i] = pixelPlace{int32(x), int32(r.y)}
				set.light[r.to+i] = p.light(x, r.y, red, green, blue)
				set.near[r.to+i] = atLeast(red, limit) + atLeast(green, limit) + atLeast(blue, limit)
			}
		}
	})
	return set
}

func atLeast(v, limit uint16) uint8 {
	if v >= limit {
		return 1
	}
	return 0
}

// keep returns the pixels of the set that pass.
func (s pixelSet) keep(passes func(i int) bool) pixelSet {
	out := pixelSet{step: s.step, at: make([]pixelPlace, 0, len(s.at)), light: make([]colour.LinearRGB, 0, len(s.at)), near: make([]uint8, 0, len(s.at))}
	for i := range s.at {
		if passes(i) {
			out.at = append(out.at, s.at[i])
			out.light = append(out.light, s.light[i])
			out.near = append(out.near, s.near[i])
		}
	}
	return out
}

// inParts does work on 0 … n in parts of the given size, on all processors.
func inParts(ctx context.Context, n, size int, work func(from, to int)) {
	_ = parallel.Ranges(ctx, n, size, work)
}
