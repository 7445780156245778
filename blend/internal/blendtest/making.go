package blendtest

import (
	"math"

	"huewright/blend"
	"huewright/colour"
	"huewright/colour/spectra"
)

// A Making is a way in which paints make colour on a bench, other than the model that is learned with: truth must not
// agree with a learner for the wrong reason.
type Making struct {
	// Surface puts every coat under a surface of its own, as Saunderson (1942) has it: k1 of the light from outside is
	// turned back, and k2 of that from inside.
	Surface bool
	// Wets is how much of a bare wood's face the first coat wets, once, 0–1.
	Wets float64
	// TakesUp is the film that the first coat leaves on bare wood over that of any other, less 1.
	TakesUp float64
}

// The shares of light that a surface turns back.
const (
	fromOutside = 0.04
	fromInside  = 0.6
	fromWet     = 0.6 // of a wetted wood, whose own gloss is not seen
)

// seen returns what is seen, gloss included, of a film of internal reflectance r.
//
// Source: Saunderson (1942), J. Opt. Soc. Am. 32(12), 727–736.
func (m Making) seen(r float64) float64 {
	if !m.Surface {
		return r
	}
	return fromOutside + (1-fromOutside)*(1-fromInside)*r/(1-fromInside*r)
}

// inside is the inverse of seen, 0 for what is darker than the gloss.
func (m Making) inside(seen float64) float64 {
	if !m.Surface {
		return seen
	}
	return max(0, seen-fromOutside) / (1 - fromOutside - fromInside*(1-seen))
}

// Over returns the spectrum of a film, in coats, of c over a wood.
func (m Making) Over(c *blend.Coating, wood *spectra.Spectrum, bare bool, coats float64) (s spectra.Spectrum) {
	for i, f := range c.Films {
		ground := min(max(wood[i], 0), 1)
		film := coats
		if bare && coats > 0 {
			film += m.TakesUp * min(coats, 1)
			wet := (1 - fromOutside) * (1 - fromWet) * ground / (1 - fromWet*ground)
			ground += m.Wets * min(coats, 1) * (wet - ground)
		}
		s[i] = m.seen(f.Over(m.inside(ground), film))
	}
	return s
}

// Limit returns the spectrum of the opaque coating.
func (m Making) Limit(c *blend.Coating) spectra.Spectrum {
	s := c.Limit()
	for i, r := range s {
		s[i] = m.seen(r)
	}
	return s
}

// thinnedTo returns c at the strength of which one coat on a sealed wood moves it by deltaE; nil when none does.
func (m Making) thinnedTo(c *blend.Coating, wood *spectra.Spectrum, deltaE float64) *blend.Coating {
	moves := func(times float64) float64 {
		before, after := m.Over(c, wood, false, 0), m.Over(c, wood, false, times)
		return colour.DeltaE2000(before.Lab(), after.Lab())
	}
	low, high := 0.0, 1e-4
	for moves(high) < deltaE {
		if low, high = high, high*1.2; high > 3 {
			return nil // it looks much like the wood
		}
	}
	for range 60 {
		if middle := math.Sqrt(max(low, high/1.3) * high); moves(middle) < deltaE {
			low = middle
		} else {
			high = middle
		}
	}
	return c.Strength(high)
}
