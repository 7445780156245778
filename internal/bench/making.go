package bench

import "huewright/blend"

// A Making is how coats make colour on a bench, otherwise than the model that is learned with. The zero value is the model's own way, on
// sealed wood: every coat leaves the same film.
type Making struct {
	// Surface gives every coat a surface of its own, that turns back fromOutside of the light from outside and fromInside of that
	// from inside.
	Surface bool
	// Wets is how much of the face of bare wood the first coat wets, once, 0–1, and TakesUp how much more film that coat leaves there
	// than any other. Where both are 0 the wood is sealed.
	Wets, TakesUp float64
}

// The shares of light that a coat's surface turns back.
const fromOutside, fromInside = 0.04, 0.6

// Bare says that the wood is not sealed.
func (m Making) Bare() bool { return m.Wets > 0 || m.TakesUp > 0 }

// seen returns what is seen, gloss included, of a film of internal reflectance r.
//
// Source: Saunderson (1942), J. Opt. Soc. Am. 32(12), 727–736.
func (m Making) seen(r float64) float64 {
	if !m.Surface {
		return r
	}
	return fromOutside + (1-fromOutside)*(1-fromInside)*r/(1-fromInside*r)
}

// Inside is the internal reflectance of a film that is seen to reflect seen, gloss included; 0 for what is darker than the gloss.
func (m Making) Inside(seen float64) float64 {
	if !m.Surface {
		return seen
	}
	return max(0, seen-fromOutside) / (1 - fromOutside - fromInside*(1-seen))
}

// over is the reflectance of coats of a film over a ground.
func (m Making) over(f blend.Film, ground, coats float64) float64 {
	first := min(coats, 1)
	wet := (1 - fromOutside) * (1 - fromInside) * ground / (1 - fromInside*ground) // its own gloss is not seen
	ground += m.Wets * first * (wet - ground)
	return m.seen(f.Over(m.Inside(ground), coats+m.TakesUp*first))
}
