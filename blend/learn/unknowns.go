package learn

import (
	"math"

	"huewright/blend"
	"huewright/colour/spectra"
)

// The unknowns of a coating: log K at ten knots from 400 to 700 nm, log S at the same knots, and six numbers for how
// coats build up and begin. The logarithms are linear between knots and constant beyond the ends. Fewer knots fit as well and
// are surer than they should be.
const (
	knots     = 10
	firstKnot = 400.0 // nm
	lastKnot  = 700.0

	atUptake      = 2 * knots     // log of the uptake of bare wood
	atPorous      = atUptake + 1  // log of the uptake of a porous spot over that of bare wood
	atCarry       = atPorous + 1  // logit of the carry of a wiped coating
	atBoard       = atCarry + 1   // log of the board-to-piece factor
	atSurface     = atBoard + 1   // normal deviate of the coat's surface: see shareOf
	atBareWetting = atSurface + 1 // normal deviate of the wetting of bare wood
	unknowns      = atBareWetting + 1
)

// A knotPosition is where a band lies among the knots: beyond knot left by the share toRight of the way to the next.
type knotPosition struct {
	left    int
	toRight float64
}

var knotPositions = func() (p [spectra.Bands]knotPosition) {
	for i := range p {
		nm := float64(spectra.FirstBand + i*spectra.BandStep)
		at := (min(max(nm, firstKnot), lastKnot) - firstKnot) / (lastKnot - firstKnot) * (knots - 1)
		left := min(int(at), knots-2)
		p[i] = knotPosition{left, at - float64(left)}
	}
	return p
}()

// A point is a value for each unknown of a coating.
type point [unknowns]float64

// films returns the film at each band.
func (p *point) films() (films [spectra.Bands]blend.Film) {
	for i, at := range knotPositions {
		k, s := p[at.left:], p[knots+at.left:]
		films[i] = blend.Film{
			K: math.Exp(k[0] + at.toRight*(k[1]-k[0])),
			S: math.Exp(s[0] + at.toRight*(s[1]-s[0])),
		}
	}
	return films
}

// coating returns the coating whose unknowns are p.
func (p *point) coating(name string, kind blend.Kind, putOn blend.PutOn) blend.Coating {
	c := blend.Coating{
		Name: name, Kind: kind, PutOn: putOn, Films: p.films(),
		Uptake: math.Exp(p[atUptake]), PorousUptake: math.Exp(p[atUptake] + p[atPorous]),
	}
	c.Surface, _ = shareOf(p[atSurface])
	c.Wetting, _ = shareOf(p[atBareWetting])
	if putOn == blend.Wiped {
		c.Carry = p.carry()
	}
	return c
}

// shareOf returns the share from 0 to 1 that a normal deviate stands for, every one as likely where it is standard, and
// its derivative.
func shareOf(x float64) (share, slope float64) {
	return math.Erfc(-x/math.Sqrt2) / 2, math.Exp(-x*x/2) / math.Sqrt(2*math.Pi)
}

func (p *point) carry() float64 { return 1 / (1 + math.Exp(-p[atCarry])) }

// thicknessSlopes returns the film that an application leaves, in coats of the mix to be planned, and the derivatives
// of its logarithm by the unknowns of uptake, porous uptake and carry.
func (p *point) thicknessSlopes(t *application) (thickness, byUptake, byPorous, byCarry float64) {
	c := blend.Coating{Uptake: math.Exp(p[atUptake]), PorousUptake: math.Exp(p[atUptake] + p[atPorous])}
	if t.wiped {
		c.Carry = p.carry()
	}
	whole := c.Thickness(t.coats, t.surface, nil)
	if t.surface.Absorbs() {
		byUptake = c.UptakeOn(t.surface) * min(t.coats, 1) / whole
		if t.surface == blend.Porous {
			byPorous = byUptake
		}
	}
	if t.wiped {
		// By finite differences: the thickness is a polynomial of the carry.
		const h = 1e-5
		up, down := c, c
		up.Carry, down.Carry = min(1, c.Carry+h), max(1e-9, c.Carry-h)
		byCarry = (up.Thickness(t.coats, t.surface, nil) - down.Thickness(t.coats, t.surface, nil)) / (up.Carry - down.Carry) *
			c.Carry * (1 - c.Carry) / whole
	}
	if t.onPiece {
		whole *= math.Exp(p[atBoard])
	}
	return whole * t.share, byUptake, byPorous, byCarry
}
