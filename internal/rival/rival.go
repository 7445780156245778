// Package rival counts coats in simpler ways than ours, which ours must beat: with films of three bands, by adding one difference for
// each coat, and by looking at one coat and going on as far each time. For tests alone.
package rival

import (
	"math"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
)

// A Predictor says what coats make of a ground.
type Predictor interface {
	After(ground colour.Lab, coats int) colour.Lab
}

// ThreeBands is Kubelka's film in the red, green and blue of linear sRGB instead of in spectra.
type ThreeBands [3]blend.Film

func channels(c colour.Lab) [3]float64 {
	rgb := c.LinearRGB()
	v := [3]float64{rgb.R, rgb.G, rgb.B}
	for i := range v {
		v[i] = min(max(v[i], 1e-4), 1)
	}
	return v
}

// LearnThreeBands finds each channel's film with the prior and the uncertainties that package learn
// has for a wash, on the scale of L*, by a search over a grid refined again and again.
func LearnThreeBands(e learn.Evidence) (bands ThreeBands) {
	const (
		reading, chip = 0.5, 0.87 // standard deviations on the scale of L*
		sdK, sdS      = 2.0, 1.5  // of the natural logarithms of absorption and scattering
	)
	usual := math.Log(0.08) // of either
	for i := range bands {
		cost := func(k, s float64) float64 {
			f := blend.Film{K: math.Exp(k), S: math.Exp(s)}
			square := func(v float64) float64 { return v * v }
			sum := square((k-usual)/sdK) + square((s-usual)/sdS)
			if e.Chip != nil {
				sum += square(116 * (math.Cbrt(f.Limit()) - math.Cbrt(channels(e.Chip.Lab)[i])) / math.Hypot(reading, chip))
			}
			for _, t := range e.Tests {
				got := f.Over(channels(t.Ground.Lab)[i], t.Coats)
				sum += square(116 * (math.Cbrt(got) - math.Cbrt(channels(t.Result.Lab)[i])) / (math.Sqrt2 * reading))
			}
			return sum
		}
		k, s := -3.0, -4.0
		for width := 8.0; width > 0.01; width /= 6 {
			const cells = 12
			bestK, bestS, least := k, s, math.Inf(1)
			for a := -cells; a <= cells; a++ {
				for b := -cells; b <= cells; b++ {
					tryK, tryS := k+width*float64(a)/cells, s+width*float64(b)/cells
					if c := cost(tryK, tryS); c < least {
						bestK, bestS, least = tryK, tryS, c
					}
				}
			}
			k, s = bestK, bestS
		}
		bands[i] = blend.Film{K: math.Exp(k), S: math.Exp(s)}
	}
	return bands
}

// After lays the films channel by channel.
func (b ThreeBands) After(ground colour.Lab, coats int) colour.Lab {
	v := channels(ground)
	for i, f := range b {
		v[i] = f.Over(v[i], float64(coats))
	}
	return colour.LinearRGB{R: v[0], G: v[1], B: v[2]}.Lab()
}

// Shift is the change of L*, a* and b* that each coat makes.
type Shift colour.Lab

// LearnShift takes the mean of the test coats' changes.
func LearnShift(e learn.Evidence) (s Shift) {
	share := 1 / float64(len(e.Tests))
	for _, t := range e.Tests {
		s.L += share * (t.Result.Lab.L - t.Ground.Lab.L) / t.Coats
		s.A += share * (t.Result.Lab.A - t.Ground.Lab.A) / t.Coats
		s.B += share * (t.Result.Lab.B - t.Ground.Lab.B) / t.Coats
	}
	return s
}

// After goes on in equal steps.
func (s Shift) After(ground colour.Lab, coats int) colour.Lab {
	n := float64(coats)
	return colour.Lab{L: max(0, ground.L+n*s.L), A: ground.A + n*s.A, B: ground.B + n*s.B}
}

// most is the most coats that are counted.
const most = 12

// Naive lays one coat on the area itself, looks, and takes it that each further coat brings it as far.
func Naive(ground, first, target colour.Lab) int {
	step, way := [3]float64{first.L - ground.L, first.A - ground.A, first.B - ground.B}, [3]float64{target.L - ground.L, target.A - ground.A,
		target.B - ground.B}
	dot, square := 0.0, 0.0
	for i := range step {
		dot += step[i] * way[i]
		square += step[i] * step[i]
	}
	return min(max(1, int(math.Round(dot/square))), most)
}

// Count is the count of coats that a predictor would lay.
func Count(f Predictor, ground, target colour.Lab) (count int) {
	least := colour.DeltaE2000(target, ground)
	for n := 1; n <= most; n++ {
		if e := colour.DeltaE2000(target, f.After(ground, n)); e < least {
			count, least = n, e
		}
	}
	return count
}
