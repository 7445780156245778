package blend

import (
	"math"

	"huewright/colour"
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

var places = func() (p [colour.Bands]place) {
	for i := range p {
		nm := float64(colour.FirstBand + i*colour.BandStep)
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
func (p *point) films() (films [colour.Bands]Film) {
	for i, at := range places {
		k, s := p[at.left:], p[knots+at.left:]
		films[i] = Film{
			K: math.Exp(k[0] + at.toRight*(k[1]-k[0])),
			S: math.Exp(s[0] + at.toRight*(s[1]-s[0])),
		}
	}
	return films
}

// coating is the coating that p stands for.
func (p *point) coating(name string, kind Kind, putOn PutOn) Coating {
	c := Coating{
		Name: name, Kind: kind, PutOn: putOn, Films: p.films(),
		Uptake: math.Exp(p[atUptake]), PorousUptake: math.Exp(p[atUptake] + p[atPorous]),
	}
	if putOn == Wiped {
		c.Carry = p.carry()
	}
	return c
}

func (p *point) carry() float64 { return 1 / (1 + math.Exp(-p[atCarry])) }

// thicknessSlopes returns the film that a test's coats leave, in coats of the mix to be planned,
// and how its logarithm changes with the uptake, what a porous spot takes more, and the carry.
func (p *point) thicknessSlopes(t *layered) (thickness, byUptake, byPorous, byCarry float64) {
	c := Coating{Uptake: math.Exp(p[atUptake]), PorousUptake: math.Exp(p[atUptake] + p[atPorous])}
	if t.wiped {
		c.Carry = p.carry()
	}
	whole := c.Thickness(t.coats, t.on, nil)
	if t.on.Absorbs() {
		byUptake = c.uptake(t.on) * min(t.coats, 1) / whole
		if t.on == Porous {
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

// overSlopes returns Over, and how it changes with log K and with log S.
func (f Film) overSlopes(ground, coats float64) (r, byLogK, byLogS float64) {
	square := f.K * (f.K + 2*f.S)
	tau, bySquare := f.effective(coats), 0.0
	if x := square * coats * coats; x < 1e-5 {
		bySquare = -coats * coats * coats / 3 * (1 - 4*x/5)
	} else {
		th := tau * math.Sqrt(square)
		bySquare = (coats*(1-th*th) - tau) / (2 * square) // of tanh(αn)/α by α²
	}
	tauByK, tauByS := bySquare*2*(f.K+f.S), bySquare*2*f.K
	gain, loss := f.S-(f.K+f.S)*ground, f.K+f.S*(1-ground)
	down := 1 + tau*loss
	r = (ground + tau*gain) / down
	byLogK = f.K * (tauByK*gain - tau*ground - r*(tauByK*loss+tau)) / down
	byLogS = f.S * (tauByS*gain + tau*(1-ground) - r*(tauByS*loss+tau*(1-ground))) / down
	return r, byLogK, byLogS
}

// limitSlopes returns Limit, and how it changes with log K; with log S it changes oppositely.
func (f Film) limitSlopes() (r, byLogK float64) {
	r = f.Limit()
	return r, -r * math.Sqrt(f.K/(f.K+2*f.S))
}

// byGround returns how Over changes with the ground.
func (f Film) byGround(ground, coats float64) float64 {
	tau := f.effective(coats)
	up := ground + tau*(f.S-(f.K+f.S)*ground)
	down := 1 + tau*(f.K+f.S*(1-ground))
	return ((1-tau*(f.K+f.S))*down + tau*f.S*up) / (down * down)
}

// daylight holds how much each band adds to X, Y and Z of daylight D65, as a spectrum of that
// band alone shows.
var daylight = func() (w [colour.Bands][3]float64) {
	for i := range w {
		var alone colour.Spectrum
		alone[i] = 1
		c := alone.XYZ(colour.LightD65)
		w[i] = [3]float64{c.X, c.Y, c.Z}
	}
	return w
}()

// labSlopes returns how L*, a* and b* of c change with X, Y and Z.
//
// Source: CIE 15:2018, 8.2.1, whose curve is the cube root above (6/29)³ and straight below.
func labSlopes(c colour.XYZ) (m [3][3]float64) {
	slope := func(v, white float64) float64 {
		const corner = 6.0 / 29
		if t := v / white; t > corner*corner*corner {
			root := math.Cbrt(t)
			return 1 / (3 * root * root * white)
		}
		return 1 / (3 * corner * corner * white)
	}
	white := colour.WhiteD65
	x, y, z := slope(c.X, white.X), slope(c.Y, white.Y), slope(c.Z, white.Z)
	return [3][3]float64{
		{0, 116 * y, 0},
		{500 * x, -500 * y, 0},
		{0, 200 * y, -200 * z},
	}
}

// bandSlopes returns how L*, a* and b* of s change with the reflectance at each band.
func bandSlopes(s *colour.Spectrum) (slopes [3][colour.Bands]float64) {
	m := labSlopes(s.XYZ(colour.LightD65))
	for i := range s {
		w := &daylight[i]
		for c := range slopes {
			slopes[c][i] = m[c][0]*w[0] + m[c][1]*w[1] + m[c][2]*w[2]
		}
	}
	return slopes
}
