package colour

import (
	"context"
	"math"

	"huewright/internal/parallel"
	"huewright/internal/stat"
)

// Summarise fills a [Reading] from the light of many places of one surface: mean, spread, quantiles of L*, ground,
// figure, and how many places there were. Everything else in the result is zero. The same light gives the same
// result on any number of processors. It panics on no light.
func Summarise(light []XYZ) Reading {
	if len(light) == 0 {
		panic("colour: summary of no light")
	}
	lightness := make([]float64, len(light))
	moments := labMoments(light, lightness)
	covariance := moments.Covariance()
	r := Reading{
		Mean:   meanWhere(light, func(int) bool { return true }, Lab{}),
		Pixels: len(light),
	}
	for i := range r.Spread {
		r.Spread[i] = math.Sqrt(covariance[i][i])
	}
	copy(r.LQuantiles[:], stat.Quantiles(lightness, 0.05, 0.25, 0.5, 0.75, 0.95))
	darkest, lightest := r.LQuantiles[1], r.LQuantiles[3]
	r.Figure = meanWhere(light, func(i int) bool { return lightness[i] <= darkest }, r.Mean)
	r.Ground = meanWhere(light, func(i int) bool { return lightness[i] >= lightest }, r.Mean)
	return r
}

// meanWhere averages the light of the places that pass, as an instrument's aperture does. It returns otherwise when
// rounding lets none pass.
func meanWhere(light []XYZ, passes func(i int) bool, otherwise Lab) Lab {
	var sum XYZ
	n := 0.0
	for i, c := range light {
		if passes(i) {
			sum = XYZ{sum.X + c.X, sum.Y + c.Y, sum.Z + c.Z}
			n++
		}
	}
	if n == 0 {
		return otherwise
	}
	return XYZ{sum.X / n, sum.Y / n, sum.Z / n}.Lab()
}

// labMoments fills in the lightness of each place and gathers the moments of Lab, in chunks of a
// fixed size that are merged in order, so that the result does not depend on which was finished first.
func labMoments(light []XYZ, lightness []float64) stat.Moments {
	const size = 1 << 13
	chunks := make([]stat.Moments, (len(light)+size-1)/size)
	_ = parallel.Ranges(context.Background(), len(light), size, func(from, to int) {
		first := light[from].Lab()
		m := stat.Moments{Origin: [3]float64{first.L, first.A, first.B}}
		for i := from; i < to; i++ {
			lab := light[i].Lab()
			lightness[i] = lab.L
			m.Add([3]float64{lab.L, lab.A, lab.B})
		}
		chunks[from/size] = m
	})
	whole := chunks[0]
	for i := range chunks[1:] {
		whole.Merge(&chunks[1+i])
	}
	return whole
}
