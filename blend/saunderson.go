package blend

import "huewright/colour/spectra"

// mostInner is the share of light from inside, diffuse, that a smooth surface of refractive index near 1.5 turns back.
//
// Source: Saunderson (1942), J. Opt. Soc. Am. 32(12), 727–736, who rounds it so.
const mostInner = 0.6

// underSurface returns how what reflects r is seen, gloss excluded, where its surface turns back the share k2 of the light
// from inside: (1−k2)r/(1−k2·r). k2 is 0–1, below 1.
//
// That is Saunderson's correction without the share k1 that a surface turns back from outside: as gloss it is kept out of
// sight when a colour is read, and as a loss it is the same for the white that colours are read against. What is left only
// makes the odds r/(1−r) 1−k2 times as large, so that black stays black, white stays white, and every r has an inverse.
//
// Source: Saunderson (1942), J. Opt. Soc. Am. 32(12), 727–736.
func underSurface(r, k2 float64) float64 { return (1 - k2) * r / (1 - k2*r) }

// insideSurface is the inverse of underSurface.
func insideSurface(seen, k2 float64) float64 { return seen / (1 - k2*(1-seen)) }

// Wetted returns the spectrum of a surface that the first coat of c has wetted, as seen without the coat's film. What does
// not absorb is not wetted, nor what has a coat already.
func (c *Coating) Wetted(ground *spectra.Spectrum, on Surface) spectra.Spectrum {
	s := *ground
	if on.Absorbs() {
		for i, r := range s {
			s[i] = underSurface(clip(r), mostInner*c.Wetting)
		}
	}
	return s
}

// InsideSurface returns the reflectance, 0–1, inside a surface such as [Coating.Surface] has it, of what is seen as reflecting seen.
func InsideSurface(seen, surface float64) float64 { return insideSurface(seen, mostInner*surface) }
