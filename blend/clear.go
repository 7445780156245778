package blend

import (
	"math"

	"huewright/colour/spectra"
)

// A ClearCoat is what a finish does to the look of what lies under it. The zero value does nothing.
type ClearCoat struct {
	// Wetting is how far the surface goes from its dry look, 0, to that of light shut in under
	// a smooth film, 1. Wood lies between: no surface is dry through and through.
	Wetting float64
	// Amber is how much the film itself absorbs, there and back, at 450 nm: 0 is water-clear.
	Amber float64
}

// amberFall is over how many nanometres the absorption of a yellowed film falls by e. From
// memory of aged varnishes; the colour it makes hardly depends on it.
const amberFall = 55.0

// Over returns how s is seen under the clear coat, its gloss left out.
//
// A dry surface is rough: it sends back the share k1 of the light, white, in all directions, and
// the wood shows through that haze, R = k1 + (1−k1)R′. Under a smooth film the k1 is gloss, seen in
// its own direction only; and what comes up from inside is sent down again by the share k2, so that
// what absorbs is met more often: (1−k1)(1−k2)R′/(1−k2R′). That is Saunderson's correction of R′
// without the k1 that he adds. It darkens, deepens chroma, and does most to dark surfaces.
// Wetting goes from the one to the other in a straight line of the logarithm, as one more film would;
// in a straight line of reflectance, chroma hardly rose, against what is seen.
//
// Source of the correction: Saunderson (1942), J. Opt. Soc. Am. 32(12), 727–736; that the haze goes
// is common practice, no source.
func (c ClearCoat) Over(s *spectra.Spectrum) spectra.Spectrum {
	var seen spectra.Spectrum
	for i, r := range s {
		r = min(max(r, 0), 1)
		wood := max(0, r-OuterSurface) / (1 - OuterSurface)
		inside := Saunderson(wood, OuterSurface, InnerSurface) - OuterSurface
		nm := float64(spectra.FirstBand + i*spectra.BandStep)
		film := math.Exp(-2 * c.Amber * math.Exp(-(nm-450)/amberFall))
		seen[i] = film * math.Pow(r, 1-c.Wetting) * math.Pow(inside, c.Wetting)
	}
	return seen
}
