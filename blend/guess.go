package blend

import (
	"math"

	"huewright/colour"
)

// A guess is the spectrum of a colour known from three numbers: the smoothest one that has it, and
// how it may deviate from that without a change of colour.
type guess struct {
	spectrum colour.Spectrum
	byLab    [colour.Bands][3]float64     // how it changes with L*, a*, b*
	byMode   [colour.Bands][modes]float64 // and with each mode of deviation
}

const (
	modes = 10 // of deviation: waves of up to five periods from end to end
	// woodsAlike is the difference, in CIELAB units, over which the spectra of two colours cease
	// to deviate alike. Our own choice: woods of one kind do, a wood and a paint do not.
	woodsAlike = 15.0
)

// modeShapes are waves over the bands, each as large as a walk at random has it whose steps have a
// standard deviation of 1.
var modeShapes = func() (m [colour.Bands][modes]float64) {
	for i := range m {
		for k := range modes {
			w := math.Pi * float64(k+1) / colour.Bands
			m[i][k] = math.Sqrt(2.0/colour.Bands) * math.Cos(w*(float64(i)+0.5)) / (2 * math.Sin(w/2))
		}
	}
	return m
}()

// guessOf is the guess of a colour's spectrum.
func guessOf(c colour.Lab) guess {
	g := guess{spectrum: colour.SpectrumOf(c)}
	const h = 0.5
	for k, step := range [3]colour.Lab{{L: h}, {A: h}, {B: h}} {
		up := colour.SpectrumOf(colour.Lab{L: c.L + step.L, A: c.A + step.A, B: c.B + step.B})
		down := colour.SpectrumOf(colour.Lab{L: c.L - step.L, A: c.A - step.A, B: c.B - step.B})
		for i := range up {
			g.byLab[i][k] = (up[i] - down[i]) / (2 * h)
		}
	}
	free := freeModes(&g.spectrum)
	size := roughness(&g.spectrum)
	for i, r := range g.spectrum {
		for k := range modes {
			g.byMode[i][k] = 2 * r * (1 - r) * size * free[i][k]
		}
	}
	return g
}

// freeModes are the modes of deviation in z, where reflectance is (1 + tanh z)/2, with what
// they would change of the colour taken out of them again.
func freeModes(s *colour.Spectrum) (free [colour.Bands][modes]float64) {
	back := holdColour(s)
	// change is how each mode changes the colour; free = shapes·(1 − back·change).
	change := colourByMode(s)
	for i := range free {
		for k := range modes {
			free[i][k] = modeShapes[i][k]
			for j := range modes {
				through := 0.0
				for c := range 3 {
					through += back[j][c] * change[c][k]
				}
				free[i][k] -= modeShapes[i][j] * through
			}
		}
	}
	return free
}

// colourByMode is how L*, a*, b* of s change with each mode in z.
func colourByMode(s *colour.Spectrum) (change [3][modes]float64) {
	by := bandSlopes(s)
	for c := range change {
		for i, r := range s {
			slope := by[c][i] * 2 * r * (1 - r)
			for k := range modes {
				change[c][k] += slope * modeShapes[i][k]
			}
		}
	}
	return change
}

// holdColour is how much of each mode brings about a change of L*, a*, b*: the least, that is.
func holdColour(s *colour.Spectrum) (back [modes][3]float64) {
	g := colourByMode(s)
	var square [3][3]float64
	for a := range 3 {
		for b := range 3 {
			for k := range modes {
				square[a][b] += g[a][k] * g[b][k]
			}
		}
	}
	inverse := inverse3(&square)
	for k := range modes {
		for c := range 3 {
			for a := range 3 {
				back[k][c] += g[a][k] * inverse[a][c]
			}
		}
	}
	return back
}

// inverse3 inverts a symmetric matrix that has an inverse.
func inverse3(m *[3][3]float64) (inverse [3][3]float64) {
	det := 0.0
	for a := range 3 {
		b, c := (a+1)%3, (a+2)%3
		for i := range 3 {
			j, k := (i+1)%3, (i+2)%3
			inverse[i][a] = m[b][j]*m[c][k] - m[b][k]*m[c][j]
		}
		det += m[a][0] * inverse[0][a]
	}
	for i := range inverse {
		for a := range inverse[i] {
			inverse[i][a] /= det
		}
	}
	return inverse
}

// roughness is how far z goes from band to band where a spectrum deviates from the guess, one
// standard deviation. The guess itself is the least rough there is.
func roughness(s *colour.Spectrum) float64 {
	sum := 0.0
	for i := range colour.Bands - 1 {
		step := unsquash(s[i+1]) - unsquash(s[i])
		sum += step * step
	}
	return max(leastRough, math.Sqrt(sum/(colour.Bands-1)))
}

const leastRough = 0.02

// unsquash returns z, where reflectance is (1 + tanh z)/2.
func unsquash(r float64) float64 { return math.Log(r/(1-r)) / 2 }

func squash(z float64) float64 { return 1 / (1 + math.Exp(-2*z)) }

// alikeness is how much the spectra of two colours deviate alike, 0–1.
func alikeness(a, b colour.Lab) float64 {
	d := colour.DeltaE76(a, b) / woodsAlike
	return math.Exp(-d * d / 2)
}

// deviating is the spectrum of colour c that deviates by so much of each mode from the guess.
func deviating(c colour.Lab, by *[modes]float64) colour.Spectrum {
	s := colour.SpectrumOf(c)
	own := s.Lab() // of the nearest there is
	free, size := freeModes(&s), roughness(&s)
	var z [colour.Bands]float64
	for i, r := range s {
		z[i] = unsquash(r)
		for k := range modes {
			z[i] += size * free[i][k] * by[k]
		}
		s[i] = squash(z[i])
	}
	for range 3 { // what is left of a change of colour, for modes are straight and z is not
		lab := s.Lab()
		miss := [3]float64{own.L - lab.L, own.A - lab.A, own.B - lab.B}
		back := holdColour(&s)
		for i := range s {
			for k := range modes {
				z[i] += modeShapes[i][k] * (back[k][0]*miss[0] + back[k][1]*miss[1] + back[k][2]*miss[2])
			}
			s[i] = squash(z[i])
		}
	}
	return s
}
