package blend

import (
	"math"

	"huewright/colour/spectra"
)

// A ClearCoat is how a finish changes the colour of what lies under it. The zero value does nothing.
type ClearCoat struct {
	// Wetting is how far a surface that takes the finish up goes from dry, 0, to optically coupled under a smooth film, 1.
	// Wood lies between.
	Wetting float64
	// Amber is the absorbance (natural logarithm, one way) of the film itself at 450 nm: 0 is water-clear.
	Amber float64
}

// amberFall is how many nanometres the absorption of a yellowed film takes to fall by a factor of e. From memory of
// aged varnishes; the colour hardly depends on it.
const amberFall = 55.0

// A dry surface is rough: it scatters up to mostHaze of the light, white, in all directions. One as dark as hazeFades has
// half of that, since a haze is part of what is seen. Fresnel's 0.04 straight on, and our own choice.
const mostHaze, hazeFades = 0.04, 0.08

// sealedWetting is how much of its wetting a clear coat does to what takes nothing up, such as a sealer or filler, over
// what it does to bare wood. Our own choice.
const sealedWetting = 0.7

// On returns the clear coat as it acts on a surface: sealed wood and what does not absorb are wetted less than bare wood,
// and what is clear-coated is wetted already, so that only the film's own colour is added. "" counts as bare wood.
func (c ClearCoat) On(s Surface) ClearCoat {
	switch s {
	case Sealed, NonAbsorbing:
		c.Wetting *= sealedWetting
	case ClearCoated:
		c.Wetting = 0
	}
	return c
}

// Over returns the spectrum of s under the clear coat, gloss excluded.
//
// The haze of a dry surface turns to gloss under a smooth film, soon: by 1 − (1−w)³ at a wetting of w. More and more of the
// light from inside is turned back, up to all that a smooth surface does: see underSurface. Both darken, and take away white,
// which raises chroma; black stays black.
//
// Note: a haze of 0.04 in every band was tried and left: what is darker than that fell to nothing. So was interpolating in
// reflectance between dry and wet: chroma hardly rose, against what is seen.
//
// Common practice, no source: that the haze goes.
func (c ClearCoat) Over(s *spectra.Spectrum) spectra.Spectrum {
	var seen spectra.Spectrum
	dry := 1 - c.Wetting
	for i, r := range s {
		r = clip(r)
		haze := (1 - dry*dry*dry) * mostHaze * r / (r + hazeFades)
		nm := float64(spectra.FirstBand + i*spectra.BandStep)
		film := math.Exp(-2 * c.Amber * math.Exp(-(nm-450)/amberFall))
		seen[i] = film * underSurface((r-haze)/(1-haze), mostInner*c.Wetting)
	}
	return seen
}

// Under is the inverse of Over: the spectrum, dry, of what is seen as s under the clear coat. It is clipped to 0–1, as what
// is no surface's colour under this coat has none.
func (c ClearCoat) Under(s *spectra.Spectrum) spectra.Spectrum {
	var dry spectra.Spectrum
	rough := 1 - c.Wetting
	haze := (1 - rough*rough*rough) * mostHaze
	for i, r := range s {
		nm := float64(spectra.FirstBand + i*spectra.BandStep)
		r = clip(r / math.Exp(-2*c.Amber*math.Exp(-(nm-450)/amberFall)))
		r = insideSurface(r, mostInner*c.Wetting)
		// r = (x−h)/(1−h) with h = haze·x/(x+hazeFades) is x² + (hazeFades−haze−r(1−haze))·x − r·hazeFades = 0
		b := hazeFades - haze - r*(1-haze)
		dry[i] = min((math.Sqrt(b*b+4*r*hazeFades)-b)/2, 1)
	}
	return dry
}
