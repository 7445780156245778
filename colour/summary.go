package colour

import (
	"context"
	"math"

	"huewright/internal/parallel"
	"huewright/internal/stat"
)

// Summarise tells of the light from many places of one surface what a Reading tells: mean,
// spread, covariance, quantiles of L*, ground and figure, and how many places there were.
// Everything else in the result is zero. The same light gives the same result on any number
// of processors. It panics on no light.
func Summarise(light []XYZ) Reading {
	if len(light) == 0 {
		panic("colour: summary of no light")
	}
	lightness := make([]float64, len(light))
	moments := summariseParts(light, lightness)
	r := Reading{
		Mean:       MeanLight(light).Lab(),
		Covariance: moments.Covariance(),
		Pixels:     len(light),
	}
	for i := range r.Spread {
		r.Spread[i] = math.Sqrt(r.Covariance[i][i])
	}
	copy(r.LQuantiles[:], stat.Quantiles(lightness, 0.05, 0.25, 0.5, 0.75, 0.95))
	darkest, lightest := r.LQuantiles[1], r.LQuantiles[3]
	r.Figure = meanWhere(light, lightness, func(l float64) bool { return l <= darkest }, r.Mean)
	r.Ground = meanWhere(light, lightness, func(l float64) bool { return l >= lightest }, r.Mean)
	return r
}

// MeanLight is the average an instrument's aperture takes. It is black for no light.
func MeanLight(light []XYZ) XYZ {
	var sum XYZ
	for _, c := range light {
		sum = XYZ{sum.X + c.X, sum.Y + c.Y, sum.Z + c.Z}
	}
	n := float64(max(len(light), 1))
	return XYZ{sum.X / n, sum.Y / n, sum.Z / n}
}

// meanWhere averages the light of the places whose lightness passes, or returns otherwise
// when a rounding lets none pass.
func meanWhere(light []XYZ, lightness []float64, passes func(float64) bool, otherwise Lab) Lab {
	var sum XYZ
	n := 0.0
	for i, l := range lightness {
		if passes(l) {
			sum = XYZ{sum.X + light[i].X, sum.Y + light[i].Y, sum.Z + light[i].Z}
			n++
		}
	}
	if n == 0 {
		return otherwise
	}
	return XYZ{sum.X / n, sum.Y / n, sum.Z / n}.Lab()
}

// summariseParts fills in the lightness of each place and gathers the moments, in parts of a
// fixed size that are joined in order, so that the result does not depend on who was first.
func summariseParts(light []XYZ, lightness []float64) stat.Moments {
	const size = 1 << 13
	parts := make([]stat.Moments, (len(light)+size-1)/size)
	_ = parallel.Ranges(context.Background(), len(light), size, func(from, to int) {
		first := light[from].Lab()
		m := stat.Moments{Origin: [3]float64{first.L, first.A, first.B}}
		for i := from; i < to; i++ {
			lab := light[i].Lab()
			lightness[i] = lab.L
			m.Add([3]float64{lab.L, lab.A, lab.B})
		}
		parts[from/size] = m
	})
	whole := parts[0]
	for i := range parts[1:] {
		whole.Merge(&parts[1+i])
	}
	return whole
}
