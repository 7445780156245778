package surround

import (
	"context"
	"math"

	"huewright/internal/parallel"
)

// contrastSensitivity is the eye's sensitivity to a pattern of light and dark over its greatest, for a spatial
// frequency in cycles per degree. Below the frequency of the greatest it stays at 1, so that a broad difference
// is not lost: there edges and size decide.
//
// Source: Mannos, Sakrison (1974), IEEE Trans. Inf. Theory 20(4), 525–536, its constants from memory:
// A(f) = 2.6 (0.0192 + 0.114 f) exp(−(0.114 f)^1.1), with its peak of 0.98 near 8 cycles per degree.
func contrastSensitivity(cycles float64) float64 {
	if cycles <= bestCycles {
		return 1
	}
	return mannosSakrison(cycles) / mannosSakrison(bestCycles)
}

const bestCycles = 7.89 // where A is largest: its derivative vanishes there

func mannosSakrison(f float64) float64 {
	return 2.6 * (0.0192 + 0.114*f) * math.Exp(-math.Pow(0.114*f, 1.1))
}

// chromaticSensitivity is the same for patterns of one hue against another, which an eye loses sooner.
//
// Source: Johnson, Fairchild (2003), Color Res. Appl. 28(6), 425–435, red against green, from
// memory: 109.1413 exp(−0.00038 f^3.4244) + 93.5971 exp(−0.00367 f^2.1677), over its value at 0.
func chromaticSensitivity(cycles float64) float64 {
	f := math.Abs(cycles)
	return (109.1413*math.Exp(-0.00038*math.Pow(f, 3.4244)) + 93.5971*math.Exp(-0.00367*math.Pow(f, 2.1677))) / (109.1413 + 93.5971)
}

// From returns the same as seen from each of some distances: what an eye cannot tell apart from there is evened
// out. Distances, and the side of a pixel of the photo, are in millimetres.
func (s *Surroundings) From(ctx context.Context, distances []float64, pixel float64) ([]*Surroundings, error) {
	if len(distances) == 0 {
		return nil, nil
	}
	light := s.transform(func(i int) complex128 { return complex(float64(s.l[i]), 0) })
	hues := s.transform(func(i int) complex128 { return complex(float64(s.a[i]), float64(s.b[i])) })
	views := make([]*Surroundings, len(distances))
	if err := parallel.Ranges(ctx, len(views), 1, func(k, _ int) {
		perDegree := distances[k] * math.Tan(math.Pi/180) / (pixel * s.scale) // in pixels of the grid
		far := *s
		n := s.wide * s.high
		far.l, far.a, far.b = make([]float32, n), make([]float32, n), make([]float32, n)
		light.through(tabled(contrastSensitivity, perDegree), func(i int, v complex128) { far.l[i] = float32(real(v)) })
		hues.through(tabled(chromaticSensitivity, perDegree), func(i int, v complex128) {
			far.a[i], far.b[i] = float32(real(v)), float32(imag(v))
		})
		views[k] = &far
	}); err != nil {
		return nil, err
	}
	return views, nil
}

// tabled is a sensitivity over spatial frequency in cycles per pixel, 0–√½, from a table; perDegree is how many
// pixels a degree spans.
func tabled(of func(cycles float64) float64, perDegree float64) func(float64) float64 {
	const steps = 512
	var table [steps + 2]float64
	for i := range table {
		table[i] = of(perDegree * float64(i) / steps * math.Sqrt2 / 2)
	}
	return func(f float64) float64 {
		at := f * math.Sqrt2 * steps
		i := min(int(at), steps)
		return table[i] + (at-float64(i))*(table[i+1]-table[i])
	}
}
