package imageio

import (
	"context"
	"math"

	"huewright/colour"
	"huewright/internal/parallel"
)

// Pixels holds the pixels that were read of an area, all three slices in the same order.
type Pixels struct {
	At    []Pixel
	Light []colour.LinearRGB
	Near  []uint8 // how many channels of each are near-clipped
}

// latticeStep is the smallest step that leaves at most limit of n pixels, as near as the
// shape of the area lets it.
func latticeStep(n, limit int) int {
	return max(1, int(math.Ceil(math.Sqrt(float64(n)/float64(limit)))))
}

// run is n pixels of row y that are on the lattice, from column x on; they go to index to and after.
type run struct{ y, x, n, to int }

// latticeRuns lists the pixels of spans that are on the lattice, total of them.
func latticeRuns(spans []Span, step int) (runs []run, total int) {
	for _, s := range spans {
		if s.Y%step != 0 {
			continue
		}
		first := (s.X0 + step - 1) / step * step
		if first >= s.X1 {
			continue
		}
		n := (s.X1-1-first)/step + 1
		runs = append(runs, run{s.Y, first, n, total})
		total += n
	}
	return runs, total
}

// Gather reads the pixels of an area: all of them, or, of more than most, about so many on a square lattice.
// The error is that of the context.
func (p *Photo) Gather(ctx context.Context, spans []Span, most int) (Pixels, error) {
	step := latticeStep(CountPixels(spans), most)
	runs, total := latticeRuns(spans, step)
	set := Pixels{
		At:    make([]Pixel, total),
		Light: make([]colour.LinearRGB, total),
		Near:  make([]uint8, total),
	}
	limit := p.pixels.nearClip()
	if err := parallel.Ranges(ctx, len(runs), 32, func(from, to int) {
		for _, r := range runs[from:to] {
			for i := range r.n {
				x := r.x + i*step
				red, green, blue := p.code(x, r.y)
				set.At[r.to+i] = Pixel{int32(x), int32(r.y)}
				set.Light[r.to+i] = p.light(x, r.y, red, green, blue)
				set.Near[r.to+i] = atLeast(red, limit) + atLeast(green, limit) + atLeast(blue, limit)
			}
		}
	}); err != nil {
		return Pixels{}, err
	}
	return set, nil
}

func atLeast(v, limit uint16) uint8 {
	if v >= limit {
		return 1
	}
	return 0
}

// Keep returns the pixels of the set that pass; the set itself where all do.
func (s Pixels) Keep(passes func(i int) bool) Pixels {
	all := true
	for i := 0; all && i < len(s.At); i++ {
		all = passes(i)
	}
	if all {
		return s
	}
	out := Pixels{At: make([]Pixel, 0, len(s.At)), Light: make([]colour.LinearRGB, 0, len(s.At)), Near: make([]uint8, 0, len(s.At))}
	for i := range s.At {
		if passes(i) {
			out.At = append(out.At, s.At[i])
			out.Light = append(out.Light, s.Light[i])
			out.Near = append(out.Near, s.Near[i])
		}
	}
	return out
}

// TransparentIn counts the pixels of spans that are not opaque.
func (p *Photo) TransparentIn(spans []Span) (n int) {
	if p.pixels.opaque == nil {
		return 0
	}
	for _, s := range spans {
		for x := s.X0; x < s.X1; x++ {
			if !p.pixels.opaque(p.turned.stored(x, s.Y)) {
				n++
			}
		}
	}
	return n
}
