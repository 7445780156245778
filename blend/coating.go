package blend

import (
	"fmt"
	"math"
	"slices"

	"huewright/colour/spectra"
)

// A Kind is what the trade calls a coating; one of Kinds.
type Kind string

// Kinds are the coatings we know: a wash is thinned paint, a glaze colour worked by hand between
// two layers of finish, a toner colour in sprayed finish, a stain pigment or dye for bare wood, a
// dye dissolved and clear, and a paint what hides.
var Kinds = []string{"wash", "glaze", "toner", "stain", "dye", "paint"}

// Known reports whether k is one of Kinds.
func (k Kind) Known() bool { return slices.Contains(Kinds, string(k)) }

// A Coating is what one coat of a mix does at each wavelength, and how coats of it build up.
// Learn makes one from test coats.
type Coating struct {
	Name   string // as the user calls it
	Kind   Kind
	Family Family              // "" is not known
	PutOn  PutOn               // "" means brushed
	Films  [spectra.Bands]Film // of one coat: the first of all on a sealed surface
	// Carry is the film that each coat leaves over what the one before it left, 0–1: below 1
	// for what is wiped off again. 0 means 1, the same each time.
	Carry float64
	// Uptake is the film that the first coat leaves on bare wood, and on a porous spot, over
	// what it leaves on a sealed surface. 0 means 1, the same.
	Uptake, PorousUptake float64
}

// Thickness returns the film that so many coats leave on a surface, in first coats on a sealed
// one. hand, when there is any, is what each coat leaves over what it should; coats beyond its
// end are laid as they should be. A broken count ends within its last coat.
//
// The coats of a wiped coating build up as X(n) = (1 − cⁿ)/(1 − c) with carry c; on a surface
// that absorbs, the first counts u times, u the uptake.
func (c *Coating) Thickness(coats float64, on Surface, hand []float64) float64 {
	carry := c.Carry
	if carry == 0 {
		carry = 1
	}
	sum, leaves := 0.0, 1.0
	for n := 0; coats > 0; n++ {
		part := min(coats, 1)
		film := leaves * part
		if n == 0 {
			film *= c.UptakeOn(on)
		}
		if n < len(hand) {
			film *= hand[n]
		}
		sum += film
		leaves *= carry
		coats--
	}
	return sum
}

func (c *Coating) UptakeOn(on Surface) float64 {
	u := 1.0
	switch on {
	case Bare:
		u = c.Uptake
	case Porous:
		u = c.PorousUptake
	}
	if u == 0 {
		return 1
	}
	return u
}

// Over returns what coats layers of c make of ground. Coats may be fractional. The ground is
// brought within 0–1 first, since measured spectra stray a little. It panics if coats is
// negative or infinite.
func (c *Coating) Over(ground *spectra.Spectrum, coats float64) spectra.Spectrum {
	var s spectra.Spectrum
	for i, f := range c.Films {
		s[i] = f.Over(min(max(ground[i], 0), 1), coats)
	}
	return s
}

// Limit returns what ever more coats come to on any ground: the opaque coating. Where a film
// neither absorbs nor scatters there is no such thing, and the spectrum is NaN.
func (c *Coating) Limit() spectra.Spectrum {
	var s spectra.Spectrum
	for i, f := range c.Films {
		s[i] = f.Limit()
	}
	return s
}

// Strength returns c mixed to another strength: times is the new paint's share of the mix over
// the one that c stands for, 0.5 for half as much paint. K and S are taken to go with the share.
// It panics if times is not positive and finite.
func (c *Coating) Strength(times float64) *Coating {
	if !(times > 0) || math.IsInf(times, 1) {
		panic(fmt.Sprintf("blend: a mix of %v times the strength", times))
	}
	thinner := *c
	for i, f := range c.Films {
		thinner.Films[i] = f.Times(times)
	}
	return &thinner
}
