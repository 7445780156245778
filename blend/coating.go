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

// A Family is what a coating is thinned with and so dissolves again in; one of Families. "" is
// not known.
type Family string

// The families of the trade: what dries from water, from oil and mineral spirits, from alcohol
// (shellac and alcohol dyes), and from lacquer thinner.
const (
	WaterBorne Family = "water"
	OilBorne   Family = "oil"
	Alcohol    Family = "alcohol"
	Lacquer    Family = "lacquer"
)

// Families are all families, as a piece file names them.
var Families = []string{string(WaterBorne), string(OilBorne), string(Alcohol), string(Lacquer)}

// Known reports whether f is one of Families.
func (f Family) Known() bool { return slices.Contains(Families, string(f)) }

// A Coating is the film of one coat of a mix in each band, and how coats of it build up.
type Coating struct {
	Name   string // as the user calls it
	Kind   Kind
	Family Family              // "" is not known
	PutOn  PutOn               // "" means brushed
	Films  [spectra.Bands]Film // of one coat: the first of all on a sealed surface
	// Carry is the film that each coat leaves over that of the coat before, 0–1: below 1 for what is
	// wiped off again. 0 means 1.
	Carry float64
	// Uptake and PorousUptake are the film that the first coat leaves on bare wood and on a porous spot
	// over that on a sealed surface. 0 means 1.
	Uptake, PorousUptake float64
	// Surface is how far the surface of a coat turns light from inside back, from 0, not at all, to 1, a smooth one.
	Surface float64
	// Wetting is how far the first coat wets bare wood, which then stays darker: from 0, not at all, to 1, wholly.
	Wetting float64
}

// Thickness returns the film that so many coats leave on a surface, in first coats on a sealed one. factors are the
// films of the single coats over the nominal ones; coats beyond their end are nominal. A fraction of a coat is that
// fraction of its film.
//
// The coats of a wiped coating build up as X(n) = (1 − cⁿ)/(1 − c) with carry c; on a surface that absorbs, the first
// counts u times, u the uptake.
func (c *Coating) Thickness(coats float64, on Surface, factors []float64) float64 {
	carry := orOne(c.Carry)
	sum, leaves := 0.0, 1.0
	for n := 0; coats > 0; n++ {
		part := clip(coats)
		film := leaves * part
		if n == 0 {
			film *= c.UptakeOn(on)
		}
		if n < len(factors) {
			film *= factors[n]
		}
		sum += film
		leaves *= carry
		coats--
	}
	return sum
}

// UptakeOn returns the film that the first coat leaves on a surface over that on a sealed one.
func (c *Coating) UptakeOn(on Surface) float64 {
	switch on {
	case Bare:
		return orOne(c.Uptake)
	case Porous:
		return orOne(c.PorousUptake)
	}
	return 1
}

// Over returns the spectrum of coats layers of c over a ground, which is clipped to 0–1 first. Coats may be fractional.
//
// The films work inside the surface of the coats: under it lies the ground as it is inside a surface of its own, so that no
// coat is no change. Bare wood is to be [Coating.Wetted] first. It panics if coats is negative or infinite.
func (c *Coating) Over(ground *spectra.Spectrum, coats float64) spectra.Spectrum {
	laid := c.Laid(coats)
	return laid.Over(ground)
}

// Laid is coats of a coating, which may come over any number of grounds.
type Laid struct {
	films [spectra.Bands]laidFilm
	k2    float64 // of the coats' surface
}

// Laid returns coats layers of c. It panics as Over does.
func (c *Coating) Laid(coats float64) (l Laid) {
	l.k2 = mostInner * c.Surface
	for i, f := range c.Films {
		l.films[i] = f.laid(coats)
	}
	return l
}

// Over is [Coating.Over].
func (l *Laid) Over(ground *spectra.Spectrum) (s spectra.Spectrum) {
	for i := range s {
		s[i] = underSurface(l.films[i].over(insideSurface(clip(ground[i]), l.k2)), l.k2)
	}
	return s
}

// Limit returns the spectrum of the opaque coating, in which the ground no longer shows. It is NaN in a band where the
// film neither absorbs nor scatters.
func (c *Coating) Limit() spectra.Spectrum {
	var s spectra.Spectrum
	for i, f := range c.Films {
		s[i] = underSurface(f.Limit(), mostInner*c.Surface)
	}
	return s
}

// Strength returns c mixed to another strength: times is the paint's share of the new mix over that of c, 0.5 for half
// as much paint. K and S are in proportion to the share. It panics if times is not positive and finite.
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

// orOne returns v, and 1 for 0.
func orOne(v float64) float64 {
	if v == 0 {
		return 1
	}
	return v
}
