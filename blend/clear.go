package blend

import (
	"math"

	"huewright/colour/spectra"
)

// A ClearCoat is how a finish changes the colour of what lies under it. The zero value does nothing.
type ClearCoat struct {
	// Wetting is how far the surface goes from dry, 0, to optically coupled under a smooth film, 1. Wood
	// lies between.
	Wetting float64
	// Amber is the absorbance (natural logarithm, one way) of the film itself at 450 nm: 0 is water-clear.
	Amber float64
}

// amberFall is how many nanometres the absorption of a yellowed film takes to fall by a factor of e. From memory of
// aged varnishes; the colour hardly depends on it.
const amberFall = 55.0

// Over returns the spectrum of s under the clear coat, gloss excluded.
//
// A dry surface is rough: it scatters the share k1 of the light, white, in all directions, and the wood shows through
// that haze, R = k1 + (1−k1)R′. Under a smooth film the k1 is gloss, seen in its own direction only, and the share k2
// of the light from inside is turned back: (1−k1)(1−k2)R′/(1−k2R′). That is Saunderson's correction of R′ without the
// k1 that he adds. It darkens, raises chroma, and does most to dark surfaces. Wetting interpolates between the two in
// the logarithm, as one more film would.
//
// Note: interpolating in reflectance was tried and left: chroma hardly rose, against what is seen.
//
// Source of the correction: Saunderson (1942), J. Opt. Soc. Am. 32(12), 727–736; that the haze goes
// is common practice, no source.
func (c ClearCoat) Over(s *spectra.Spectrum) spectra.Spectrum {
	var seen spectra.Spectrum
	for i, r := range s {
		r = min(max(r, 0), 1)
		wood := max(0, r-outerReflectance) / (1 - outerReflectance)
		inside := saunderson(wood, outerReflectance, innerReflectance) - outerReflectance
		nm := float64(spectra.FirstBand + i*spectra.BandStep)
		film := math.Exp(-2 * c.Amber * math.Exp(-(nm-450)/amberFall))
		seen[i] = film * math.Pow(r, 1-c.Wetting) * math.Pow(inside, c.Wetting)
	}
	return seen
}

// The shares of light that a smooth surface of refractive index near 1.5 turns back: from outside, straight on (Fresnel:
// 0.04); and from inside, diffuse, as Saunderson (1942) rounds it.
const (
	outerReflectance = 0.04
	innerReflectance = 0.6
)

// saunderson returns the reflectance, gloss included, of a film of internal reflectance r whose surface turns back the
// share k1 of the light from outside and k2 of that from inside. All are 0–1, and k2 below 1.
//
// Source: Saunderson (1942), J. Opt. Soc. Am. 32(12), 727–736.
func saunderson(r, k1, k2 float64) float64 {
	return k1 + (1-k1)*(1-k2)*r/(1-k2*r)
}
