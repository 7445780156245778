package plan

import (
	"math"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
)

// A predictor says what coats make of a ground. The two below are what we must be better than.
type predictor interface {
	colourAfter(ground colour.Lab, coats int) colour.Lab
}

// inSpectra predicts as the program does.
type inSpectra struct{ coating *blend.Coating }

func (s inSpectra) colourAfter(ground colour.Lab, coats int) colour.Lab {
	wood := spectra.PriorSpectrum(ground)
	after := s.coating.Over(&wood, float64(coats))
	return after.Lab()
}

// threeBands is Kubelka's film in the red, green and blue of linear sRGB instead of in spectra.
type threeBands [3]blend.Film

func channels(c colour.Lab) [3]float64 {
	rgb := c.LinearRGB()
	v := [3]float64{rgb.R, rgb.G, rgb.B}
	for i := range v {
		v[i] = min(max(v[i], 1e-4), 1)
	}
	return v
}

// learnThreeBands finds each channel's film with the prior and the uncertainties that Learn
// has for a wash, on the scale of L*, by a search over a grid refined again and again.
func learnThreeBands(e learn.Evidence) (bands threeBands) {
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

func (b threeBands) colourAfter(ground colour.Lab, coats int) colour.Lab {
	v := channels(ground)
	for i, f := range b {
		v[i] = f.Over(v[i], float64(coats))
	}
	return colour.LinearRGB{R: v[0], G: v[1], B: v[2]}.Lab()
}

// shiftPerCoat adds the same change of L*, a* and b* with each coat, the mean of the tests'.
type shiftPerCoat colour.Lab

func learnShift(e learn.Evidence) (s shiftPerCoat) {
	share := 1 / float64(len(e.Tests))
	for _, t := range e.Tests {
		s.L += share * (t.Result.Lab.L - t.Ground.Lab.L) / t.Coats
		s.A += share * (t.Result.Lab.A - t.Ground.Lab.A) / t.Coats
		s.B += share * (t.Result.Lab.B - t.Ground.Lab.B) / t.Coats
	}
	return s
}

func (s shiftPerCoat) colourAfter(ground colour.Lab, coats int) colour.Lab {
	n := float64(coats)
	return colour.Lab{L: max(0, ground.L+n*s.L), A: ground.A + n*s.A, B: ground.B + n*s.B}
}

// countFor is the count of coats that a predictor would lay, up to 12.
func countFor(f predictor, ground, target colour.Lab) (count int) {
	least := colour.DeltaE2000(target, ground)
	for n := 1; n <= 12; n++ {
		if e := colour.DeltaE2000(target, f.colourAfter(ground, n)); e < least {
			count, least = n, e
		}
	}
	return count
}
