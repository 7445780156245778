package spectra

import (
	"math"

	"huewright/colour"
	"huewright/internal/stat"
)

// Modes is how many functions of wavelength span the deviations of a spectrum from its prior: a level, a trend, and
// waves of up to five periods from end to end.
const Modes = 12

// levelSD is the standard deviation of the level of z, in steps of the random walk: as good as free.
const levelSD = 30

// A metamericBasis is the modes in z, and how the colour of one spectrum changes with them.
//
// Each mode is as large as in a random walk from band to band whose steps have a standard deviation of 1, on top of
// a level and a trend.
type metamericBasis struct {
	modes   [Bands][Modes]float64
	byMode  [3][Modes]float64 // derivatives of L*, a*, b*
	inverse [3][3]float64     // of byMode times its transpose
}

// basisAt is the basis about spectrum s; trend is the standard deviation of the trend, in steps of the walk.
func basisAt(s *Spectrum, trend float64) *metamericBasis {
	b := &metamericBasis{}
	for i := range b.modes {
		b.modes[i][0] = levelSD
		b.modes[i][1] = trend * (float64(i) - (Bands-1)/2.0)
		copy(b.modes[i][2:], waves[i][:])
	}
	byBand := BandJacobian(s)
	for c := range byBand {
		for i, r := range s {
			byZ := byBand[c][i] * 2 * r * (1 - r)
			for k := range Modes {
				b.byMode[c][k] += byZ * b.modes[i][k]
			}
		}
	}
	var square [3][3]float64
	for i := range square {
		for j := range square {
			for k := range Modes {
				square[i][j] += b.byMode[i][k] * b.byMode[j][k]
			}
		}
	}
	b.inverse, _ = stat.Inverse3(&square)
	return b
}

// waves are the principal components of a random walk.
var waves = func() (m [Bands][Modes - 2]float64) {
	for i := range m {
		for k := range m[i] {
			w := math.Pi * float64(k+1) / Bands
			m[i][k] = math.Sqrt(2.0/Bands) * math.Cos(w*(float64(i)+0.5)) / (2 * math.Sin(w/2))
		}
	}
	return m
}()

// trendSD is the standard deviation of the trend of spectra of colour c, in steps of the walk: 1 for the colours
// of woods, falling to 0 away from them.
func trendSD(c colour.Lab) float64 {
	const (
		middle, either = 70, 30 // hue of woods, degrees: from red heartwood to greenish pale
		vivid          = 40.0   // chroma beyond any wood
		fading         = 15.0   // of either, in CIELAB units
	)
	lch := c.LCh()
	aside := max(0, math.Abs(math.Remainder(lch.H-middle, 360))-either) * math.Pi / 180 * lch.C
	off := math.Hypot(aside, max(0, lch.C-vivid)) / fading
	return math.Exp(-off * off / 2)
}

// z is the sum of the modes with the given weights.
func (b *metamericBasis) z(weights *[Modes]float64) (z [Bands]float64) {
	for i := range z {
		for k, v := range weights {
			z[i] += b.modes[i][k] * v
		}
	}
	return z
}

// project returns the weights of the level and of each wave in z. The trend gets none, since it is a sum of waves here.
func (b *metamericBasis) project(z *[Bands]float64) (weights [Modes]float64) {
	for k := range weights {
		if k == 1 {
			continue
		}
		sum, square := 0.0, 0.0
		for i, v := range z {
			sum += b.modes[i][k] * v
			square += b.modes[i][k] * b.modes[i][k]
		}
		weights[k] = sum / square
	}
	return weights
}

// leastChange returns the least weights, in the sum of squares, that change the colour by lab.
func (b *metamericBasis) leastChange(lab [3]float64) (weights [Modes]float64) {
	for i := range 3 {
		sum := 0.0
		for j, v := range lab {
			sum += b.inverse[i][j] * v
		}
		for k := range weights {
			weights[k] += b.byMode[i][k] * sum
		}
	}
	return weights
}

// metameric is the change of z by the given weights, less the part of it that would change the colour.
func (b *metamericBasis) metameric(weights *[Modes]float64) [Bands]float64 {
	var lab [3]float64
	for c := range lab {
		for k, v := range weights {
			lab[c] += b.byMode[c][k] * v
		}
	}
	back := b.leastChange(lab)
	for k := range back {
		back[k] = weights[k] - back[k]
	}
	return b.z(&back)
}
