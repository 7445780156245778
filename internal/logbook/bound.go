package logbook

import (
	"math"

	"huewright/colour"
)

// A box holds colours from Low to High in each of L*, a*, b*.
type box struct{ Low, High colour.Lab }

// boxAround returns a box that holds every colour within deltaE of c by CIEDE2000, so that an index
// of boxes can be asked before the exact formula is.
//
// CIEDE2000 is (ΔL'/S_L)² + Q with Q = x² + y² + R_T·x·y, x = ΔC'/S_C, y = ΔH'/S_H. Q is never
// negative, and at least (1 − |R_T|/2)(x² + y²). So
//
//   - |ΔL*| ≤ deltaE · S_L, with the largest S_L between c and the far end;
//   - |x|, |y| ≤ ρ = deltaE / √(1 − |R_T|/2). With ΔC'² + ΔH'² = Δa'² + Δb*² and S_H < S_C, the two
//     colours are at most D = ρ·S_C apart in the plane of a' and b*, where S_C = 1 + 0.045 C̄' and
//     C̄' ≤ C' + D/2: D ≤ ρ(1 + 0.045 C')/(1 − 0.0225 ρ);
//   - a' = (1 + G)a* with the same 0 ≤ G ≤ 0.5 for both, so that |Δa*| ≤ |Δa'|, and C' is at most
//     that of 1.5 a*.
//
// |R_T| is large for blue only. It is bounded by the hues and chromas that a first, wider D lets
// in, and D then taken anew.
//
// Source: Sharma, Wu, Dalal (2005), doi:10.1002/col.20070, equations 2 to 22; the bounds are ours.
func boxAround(c colour.Lab, deltaE float64) box {
	lightness := lightnessWithin(c.L, deltaE)
	b := box{
		Low:  colour.Lab{L: c.L - lightness, A: math.Inf(-1), B: math.Inf(-1)},
		High: colour.Lab{L: c.L + lightness, A: math.Inf(1), B: math.Inf(1)},
	}
	chroma := math.Hypot(1.5*c.A, c.B)
	d, rho := math.Inf(1), 0.0
	for turn := 2 * math.Sin(60*math.Pi/180); ; { // the most that |R_T| can be
		rho = deltaE / math.Sqrt(1-turn/2)
		if 0.0225*rho >= 1 {
			break // no bound
		}
		next := rho * (1 + 0.045*chroma) / (1 - 0.0225*rho)
		if next > 0.999*d {
			break
		}
		d = next
		turn = min(turn, mostTurn(c, d))
	}
	b.Low.A, b.High.A = c.A-d, c.A+d
	b.Low.B, b.High.B = c.B-d, c.B+d
	return b.slacken()
}

// slack makes up for figures that are kept with 32 bits, and for rounding.
const slack = 1e-4

func (b box) slacken() box {
	b.Low.L, b.Low.A, b.Low.B = b.Low.L-slack, b.Low.A-slack, b.Low.B-slack
	b.High.L, b.High.A, b.High.B = b.High.L+slack, b.High.A+slack, b.High.B+slack
	return b
}

// lightnessWithin is the most by which L* may differ.
func lightnessWithin(l, deltaE float64) float64 {
	weight := func(mean float64) float64 {
		from50 := (mean - 50) * (mean - 50)
		return 1 + 0.015*from50/math.Sqrt(20+from50)
	}
	const most = 1.75 // at either end of the scale
	far := deltaE * most
	// The weight grows away from 50, so that it is largest at an end of what the mean may be.
	return deltaE * max(weight(l-far/2), weight(l+far/2))
}

// mostTurn is the most that |R_T| can be for colours within d of c in the plane of a' and b*.
func mostTurn(c colour.Lab, d float64) float64 {
	far := math.Hypot(1.5*c.A, c.B) + d/2
	far7 := math.Pow(far, 7)
	strength := 2 * math.Sqrt(far7/(far7+math.Pow(25, 7)))
	from, to := 0.0, 360.0
	if near := math.Hypot(c.A, c.B); d < near {
		// a' may be a* to 1.5 a*: the hue lies between those of both.
		one, two := degrees(c.B, c.A), degrees(c.B, 1.5*c.A)
		if two-one > 180 {
			one += 360
		} else if one-two > 180 {
			two += 360
		}
		open := math.Asin(d/near) * 180 / math.Pi
		from, to = min(one, two)-open, max(one, two)+open
	}
	// |sin 2Δθ| ≤ |2Δθ|, and no more than at its own largest, 60°; Δθ falls off on both sides of 275°.
	off := math.Inf(1)
	for _, blue := range []float64{275 - 360, 275, 275 + 360} {
		switch h := blue; {
		case h < from:
			off = min(off, from-h)
		case h > to:
			off = min(off, h-to)
		default:
			off = 0
		}
	}
	theta := 30 * math.Exp(-(off/25)*(off/25))
	return strength * math.Sin(2*theta*math.Pi/180)
}

func degrees(y, x float64) float64 {
	h := math.Atan2(y, x) * 180 / math.Pi
	if h < 0 {
		h += 360
	}
	return h
}
