package learn

import (
	"math"

	"huewright/blend"
	"huewright/colour/spectra"
)

// Ten knots from 400 to 700 nm carry log K, ten more log S; the logs run straight from knot to
// knot and are flat beyond the ends. Fewer knots fit as well and are surer than they should be.
// Four numbers more say how coats build up.
const (
	knots     = 10
	firstKnot = 400.0 // nm
	lastKnot  = 700.0

	atUptake = 2 * knots    // log of the uptake of bare wood
	atPorous = atUptake + 1 // log of what a porous spot takes up over bare wood
	atCarry  = atPorous + 1 // logit of the carry of what is wiped
	atBoard  = atCarry + 1  // log of what a coat leaves on the piece over the test board
	unknowns = atBoard + 1
)

// place says where a band lies among the knots: right of knot left, by the share toRight of the
// way to the next.
type place struct {
	left    int
	toRight float64
}

var places = func() (p [spectra.Bands]place) {
	for i := range p {
		nm := float64(spectra.FirstBand + i*spectra.BandStep)
		at := (min(max(nm, firstKnot), lastKnot) - firstKnot) / (lastKnot - firstKnot) * (knots - 1)
		left := min(int(at), knots-2)
		p[i] = place{left, at - float64(left)}
	}
	return p
}()

// A point is a value for each unknown of a coating: log K at each knot, then log S, then how
// coats build up.
type point [unknowns]float64

// films returns the film at each band.
func (p *point) films() (films [spectra.Bands]blend.Film) {
	for i, at := range places {
		k, s := p[at.left:], p[knots+at.left:]
		films[i] = blend.Film{
			K: math.Exp(k[0] + at.toRight*(k[1]-k[0])),
			S: math.Exp(s[0] + at.toRight*(s[1]-s[0])),
		}
	}
	return films
}

// coating is the coating that p stands for.
func (p *point) coating(name string, kind blend.Kind, putOn blend.PutOn) blend.Coating {
	c := blend.Coating{
		Name: name, Kind: kind, PutOn: putOn, Films: p.films(),
		Uptake: math.Exp(p[atUptake]), PorousUptake: math.Exp(p[atUptake] + p[atPorous]),
	}
	if putOn == blend.Wiped {
		c.Carry = p.carry()
	}
	return c
}

func (p *point) carry() float64 { return 1 / (1 + math.Exp(-p[atCarry])) }

// thicknessSlopes returns the film that a test's coats leave, in coats of the mix to be planned,
// and how its logarithm changes with the uptake, what a porous spot takes more, and the carry.
func (p *point) thicknessSlopes(t *layered) (thickness, byUptake, byPorous, byCarry float64) {
	c := blend.Coating{Uptake: math.Exp(p[atUptake]), PorousUptake: math.Exp(p[atUptake] + p[atPorous])}
	if t.wiped {
		c.Carry = p.carry()
	}
	whole := c.Thickness(t.coats, t.on, nil)
	if t.on.Absorbs() {
		byUptake = c.UptakeOn(t.on) * min(t.coats, 1) / whole
		if t.on == blend.Porous {
			byPorous = byUptake
		}
	}
	if t.wiped {
		// By differences: c is within 0–1, and the sum a polynomial of it.
		const h = 1e-5
		up, down := c, c
		up.Carry, down.Carry = min(1, c.Carry+h), max(1e-9, c.Carry-h)
		byCarry = (up.Thickness(t.coats, t.on, nil) - down.Thickness(t.coats, t.on, nil)) / (up.Carry - down.Carry) *
			c.Carry * (1 - c.Carry) / whole
	}
	if t.piece {
		whole *= math.Exp(p[atBoard])
	}
	return whole * t.share, byUptake, byPorous, byCarry
}
