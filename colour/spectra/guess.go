package spectra

import (
	"math"

	"huewright/colour"
	"huewright/internal/stat"
)

// A Prior is the spectrum of a surface whose colour is all that is known of it, and how that
// spectrum may deviate from it without a change of colour.
//
// The smoothest spectrum of a colour goes flat towards violet and deep red, where the eye sees
// next to nothing. A wood's does not: what makes it brown absorbs less and less from the violet
// on, so it goes on falling there and rising here. The guess is therefore the spectrum that
// strays least, from band to band, from a steady rise or fall which is free to choose: of a
// measured plywood it is off a third as much as the smoothest. Colours that no wood has are
// guessed as the smoothest.
//
// Spectra are handled as z, where reflectance is (1 + tanh z)/2, as colour.Reconstruct does.
type Prior struct {
	Mean   Spectrum
	ByLab  [Bands][3]float64     // how it changes with L*, a*, b*
	ByMode [Bands][Modes]float64 // and with each mode of deviation
}

const (
	Modes = 12 // of deviation: a level, a trend, and waves of up to five periods from end to end
	level = 30 // standard deviation of the level of z, in steps of the walk: it is as good as free
	// woodsAlike is the difference, in CIELAB units, over which the spectra of two colours cease
	// to deviate alike. Our own choice: woods of one kind do, a wood and a paint do not.
	woodsAlike = 15.0
)

// shapes are the modes in z: each is as large as it is in a walk at random from band to band whose
// steps have a standard deviation of 1, on top of a level and a trend.
func shapes(trend float64) (m [Bands][Modes]float64) {
	for i := range m {
		m[i][0] = level
		m[i][1] = trend * (float64(i) - (Bands-1)/2.0)
		copy(m[i][2:], waves[i][:])
	}
	return m
}

// waves are those of a walk at random.
var waves = func() (m [Bands][Modes - 2]float64) {
	for i := range m {
		for k := range m[i] {
			w := math.Pi * float64(k+1) / Bands
			m[i][k] = math.Sqrt(2.0/Bands) * math.Cos(w*(float64(i)+0.5)) / (2 * math.Sin(w/2))
		}
	}
	return m
}()

// trendOf is the standard deviation of a spectrum's trend, in steps of the walk: 1 for the colours
// of woods, and less and less for others.
func trendOf(c colour.Lab) float64 {
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

// PriorOf is the guess of a colour's spectrum.
func PriorOf(c colour.Lab) Prior {
	g := Prior{Mean: PriorSpectrum(c)}
	const h = 0.5
	for k, step := range [3]colour.Lab{{L: h}, {A: h}, {B: h}} {
		up := PriorSpectrum(colour.Lab{L: c.L + step.L, A: c.A + step.A, B: c.B + step.B})
		down := PriorSpectrum(colour.Lab{L: c.L - step.L, A: c.A - step.A, B: c.B - step.B})
		for i := range up {
			g.ByLab[i][k] = (up[i] - down[i]) / (2 * h)
		}
	}
	f := newFlex(&g.Mean, trendOf(c))
	smoothest := Smoothest(c)
	size := roughness(&smoothest)
	for k := range Modes {
		var by [Modes]float64
		by[k] = size
		for i, dz := range f.free(&by) {
			r := g.Mean[i]
			g.ByMode[i][k] = 2 * r * (1 - r) * dz
		}
	}
	return g
}

// PriorSpectrum is the spectrum alone.
func PriorSpectrum(c colour.Lab) Spectrum { return Metamer(c, &[Modes]float64{}) }

// Metamer is the spectrum of colour c that deviates by so much of each mode, in standard
// deviations, from the guess. Of a colour that no surface has it is that of the nearest.
func Metamer(c colour.Lab, by *[Modes]float64) Spectrum {
	smoothest := Smoothest(c)
	own := smoothest.Lab()
	s := smoothest
	f := newFlex(&s, trendOf(c))
	var z [Bands]float64
	for i, r := range s {
		z[i] = unsquash(r)
	}
	// The guess has nothing of what is free to choose: that is taken out of the smoothest.
	move := f.inModes(&z)
	size := roughness(&smoothest)
	for k := range move {
		move[k] = size*by[k] - move[k]
	}
	for i, dz := range f.free(&move) {
		z[i] += dz
		s[i] = squash(z[i])
	}
	for range 3 { // what is left of a change of colour, for modes are straight and z is not
		lab := s.Lab()
		f = newFlex(&s, f.trend)
		for i, dz := range f.hold([3]float64{own.L - lab.L, own.A - lab.A, own.B - lab.B}) {
			z[i] += dz
			s[i] = squash(z[i])
		}
	}
	if lab := s.Lab(); !(colour.DeltaE76(lab, own) < 0.1) {
		return smoothest // next to black and white there is nothing to choose
	}
	return s
}

// A flex is how a spectrum bends: its modes, and what they make of its colour.
type flex struct {
	trend    float64
	shapes   [Bands][Modes]float64
	byMode   [3][Modes]float64 // of L*, a*, b*
	inverse3 [3][3]float64     // of byMode times itself
}

func newFlex(s *Spectrum, trend float64) *flex {
	f := &flex{trend: trend, shapes: shapes(trend)}
	by := BandJacobian(s)
	for c := range by {
		for i, r := range s {
			slope := by[c][i] * 2 * r * (1 - r)
			for k := range Modes {
				f.byMode[c][k] += slope * f.shapes[i][k]
			}
		}
	}
	var square [3][3]float64
	for a := range square {
		for b := range square {
			for k := range Modes {
				square[a][b] += f.byMode[a][k] * f.byMode[b][k]
			}
		}
	}
	f.inverse3, _ = stat.Inverse3(&square)
	return f
}

// inZ is what so much of each mode comes to.
func (f *flex) inZ(by *[Modes]float64) (z [Bands]float64) {
	for i := range z {
		for k, v := range by {
			z[i] += f.shapes[i][k] * v
		}
	}
	return z
}

// inModes is how much of each wave, and of the level, is in z.
func (f *flex) inModes(z *[Bands]float64) (by [Modes]float64) {
	for k := range by {
		if k == 1 {
			continue // a trend is no wave; it is made of waves here
		}
		sum, square := 0.0, 0.0
		for i, v := range z {
			sum += f.shapes[i][k] * v
			square += f.shapes[i][k] * f.shapes[i][k]
		}
		by[k] = sum / square
	}
	return by
}

// hold is the least change that brings about a change of colour.
func (f *flex) hold(lab [3]float64) [Bands]float64 {
	by := f.least(lab)
	return f.inZ(&by)
}

func (f *flex) least(lab [3]float64) (by [Modes]float64) {
	for a := range 3 {
		sum := 0.0
		for b, v := range lab {
			sum += f.inverse3[a][b] * v
		}
		for k := range by {
			by[k] += f.byMode[a][k] * sum
		}
	}
	return by
}

// free is a change by so much of each mode, less what it would change of the colour.
func (f *flex) free(by *[Modes]float64) [Bands]float64 {
	var lab [3]float64
	for c := range lab {
		for k, v := range by {
			lab[c] += f.byMode[c][k] * v
		}
	}
	back := f.least(lab)
	for k := range back {
		back[k] = by[k] - back[k]
	}
	return f.inZ(&back)
}

// roughness is how far z goes from band to band where a spectrum deviates from the guess, one
// standard deviation. The guess itself is the least rough there is.
func roughness(s *Spectrum) float64 {
	sum := 0.0
	for i := range Bands - 1 {
		step := unsquash(s[i+1]) - unsquash(s[i])
		sum += step * step
	}
	return max(leastRough, math.Sqrt(sum/(Bands-1)))
}

const leastRough = 0.02

// unsquash returns z, where reflectance is (1 + tanh z)/2.
func unsquash(r float64) float64 { return math.Log(r/(1-r)) / 2 }

func squash(z float64) float64 { return 1 / (1 + math.Exp(-2*z)) }

// Correlation is how much the spectra of two colours deviate alike, 0–1.
func Correlation(a, b colour.Lab) float64 {
	d := colour.DeltaE76(a, b) / woodsAlike
	return math.Exp(-d * d / 2)
}
