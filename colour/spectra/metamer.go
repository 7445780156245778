package spectra

import (
	"math"

	"huewright/colour"
)

// PriorSpectrum is the likeliest spectrum of a surface of which only the colour is known.
//
// The smoothest spectrum of a colour goes flat towards violet and deep red, where the eye sees
// next to nothing. A wood's does not: what makes it brown absorbs less and less from the violet
// on, so it goes on falling there and rising here. The prior spectrum is therefore the one that
// deviates least, from band to band, from a steady rise or fall which is free to choose: of a
// measured plywood it is off a third as much as the smoothest. For colours that no wood has it is the smoothest.
func PriorSpectrum(c colour.Lab) Spectrum { return Metamer(c, &[Modes]float64{}) }

// Metamer returns the spectrum of colour c that deviates from the prior spectrum by the given weights of the modes, in
// standard deviations. Of a colour that no surface has it is that of the nearest. It panics if c is not finite.
func Metamer(c colour.Lab, weights *[Modes]float64) Spectrum {
	smoothest := Smoothest(c)
	own := smoothest.Lab()
	s, trend := smoothest, trendSD(c)
	basis := basisAt(&s, trend)
	var z [Bands]float64
	for i, r := range s {
		z[i] = zOf(r)
	}
	// The prior spectrum has nothing of the modes that are free to choose: they are taken out of the smoothest.
	move := basis.project(&z)
	size := roughness(&smoothest)
	for k := range move {
		move[k] = size*weights[k] - move[k]
	}
	add := func(dz [Bands]float64) {
		for i, v := range dz {
			z[i] += v
			s[i] = reflectance(z[i])
		}
	}
	add(basis.metameric(&move))
	for range 3 { // modes are linear and z is not: Newton's method brings the colour back
		lab := s.Lab()
		basis = basisAt(&s, trend)
		back := basis.leastChange([3]float64{own.L - lab.L, own.A - lab.A, own.B - lab.B})
		add(basis.z(&back))
	}
	if lab := s.Lab(); !(colour.DeltaE76(lab, own) < 0.1) {
		return smoothest // next to black and white there is nothing to choose
	}
	return s
}

// roughness is the root mean square step of z from band to band of a spectrum, and the standard deviation of a weight
// of 1 about it.
func roughness(s *Spectrum) float64 {
	const least = 0.02 // of a flat spectrum
	sum := 0.0
	for i := range Bands - 1 {
		step := zOf(s[i+1]) - zOf(s[i])
		sum += step * step
	}
	return max(least, math.Sqrt(sum/(Bands-1)))
}

// zOf returns z, where reflectance is (1 + tanh z)/2.
func zOf(r float64) float64 { return math.Log(r/(1-r)) / 2 }

// Correlation is that of the deviations of the spectra of two colours from their prior spectra, 0–1. Woods of one
// kind deviate alike, a wood and a paint do not.
func Correlation(a, b colour.Lab) float64 {
	const length = 15.0 // CIELAB units; our own choice
	d := colour.DeltaE76(a, b) / length
	return math.Exp(-d * d / 2)
}
