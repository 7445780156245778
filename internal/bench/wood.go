package bench

import (
	"math"
	"math/rand/v2"
)

// A cut is how a board was sawn from its tree.
type cut int

const (
	plainSawn   cut = iota // face along the rings: arches, one inside the other
	quarterSawn            // face across the rings: straight lines
)

// A grain says how dark the wood is at a place on a face, in millimetres: 0 the palest early
// wood, 1 the bottom of a pore.
type grain func(x, y float64) float64

// A board is a flat face cut from a simulated tree. Its own axes are u across the grain and v
// along it, in millimetres from the board's middle.
type board struct {
	seed      noise
	cx, cy    float64 // the board's middle in the scene
	sin, cos  float64 // direction of the grain
	pith      float64 // across the face, from the board's middle to the tree's heart
	depth     float64 // from the face down to the heart, at the board's middle
	lean      float64 // how fast the heart runs away from the face: taper and slope of grain
	ringWidth float64 // one year
	drift     float64 // this board against its fellows
}

// newBoard cuts a board whose middle is at cx, cy. along is the direction of its grain in
// degrees, 0 to the right and 90 downwards; no board is quite true to it.
func newBoard(rng *rand.Rand, cx, cy, along float64, c cut, ringWidth float64) *board {
	angle := (along + 0.8*rng.NormFloat64()) * math.Pi / 180
	b := &board{
		seed: noise(rng.Uint64()), cx: cx, cy: cy,
		sin: math.Sin(angle), cos: math.Cos(angle),
		ringWidth: ringWidth * (0.85 + 0.3*rng.Float64()),
		drift:     0.05 * rng.NormFloat64(),
	}
	side := float64(1 - 2*rng.IntN(2))
	switch c {
	case plainSawn:
		b.pith = 30 * (rng.Float64() - 0.5)
		b.depth = 45 + 30*rng.Float64()
		b.lean = side * (0.03 + 0.05*rng.Float64())
	case quarterSawn:
		b.pith = side * (170 + 120*rng.Float64())
		b.depth = 40 * (rng.Float64() - 0.5)
		b.lean = 0.01 * rng.NormFloat64()
	}
	return b
}

// face turns a place in the scene into the board's own axes.
func (b *board) face(x, y float64) (u, v float64) {
	x, y = x-b.cx, y-b.cy
	return x*b.sin - y*b.cos, x*b.cos + y*b.sin
}

// ring returns which year a place grew in and how far through that year, [0, 1).
// Years are uneven, the trunk is not round, and the heart wanders.
func (b *board) ring(u, v float64) (year int, through float64) {
	across := u - b.pith + 7*b.seed.line(v/310)
	down := b.depth + b.lean*v + 5*(b.seed+1).line(v/240)
	r := math.Sqrt(across*across + down*down)
	r += 1.6*(b.seed+2).plane(u/28, v/190) + 0.35*(b.seed+3).plane(u/6, v/60)
	t := r / b.ringWidth
	t += 1.3 * (b.seed + 4).line(t/4.3)
	return split(t)
}

// ash is a ring-porous wood: each spring a belt of wide pores, which the face shows as short
// dark dashes along the grain, then plain dense wood that darkens towards autumn.
func (b *board) ash(x, y float64) float64 {
	u, v := b.face(x, y)
	year, through := b.ring(u, v)
	vigour := (b.seed + 5).cell(year, 0)

	springEnds := 0.30 + 0.22*vigour
	spring := 1 - ramp(0.4*springEnds, springEnds, through)
	spring = max(spring, ramp(0.97, 1, through)) // no harder edge than a saw leaves
	g := 0.10 + 0.10*ramp(0.4, 1, through)*(0.4+vigour)
	g += spring * (0.20 + 0.14*vigour + 0.22*(b.seed+6).plane(u/1.1, v/26))
	g += spring * 0.50 * b.pore(7, u/0.55, v/9, 0.55)
	g += 0.10 * b.pore(8, u/0.5, v/5, 0.06)
	g += 0.045*(b.seed+9).plane(u/0.8, v/45) + 0.035*(b.seed+10).plane(u/2.6, v/110)
	g += 0.07*(b.seed+11).plane(u/70, v/260) + b.drift
	return clamp01(g)
}

// sapele is a diffuse-porous wood of interlocked grain: fine pores everywhere, and ribbons
// light and dark by turns where the grain leans one way and then the other.
func (b *board) sapele(x, y float64) float64 {
	u, v := b.face(x, y)
	_, through := b.ring(u, v)

	across := u + 6*(b.seed+12).plane(u/60, v/230) + 0.8*(b.seed+13).plane(u/9, v/35)
	ribbon := (b.seed+14).plane(across/11, v/420) + 0.5*(b.seed+15).plane(across/5, v/260)
	ribbon = math.Tanh(1.9*ribbon) * (0.75 + 0.45*(b.seed+16).plane(u/35, v/90))
	g := 0.40 + 0.23*ribbon
	g += 0.07 * ramp(0.55, 0.95, through) * (1 - ramp(0.95, 1, through))
	g += 0.06 * (b.seed+17).plane(u/14, v/11) * ribbon // broken stripe
	g += 0.30 * b.pore(18, u/0.42, v/3.6, 0.26)
	g += 0.07*(b.seed+19).plane(u/0.9, v/16) + 0.05*(b.seed+20).plane(u/2.8, v/60)
	g += 0.07*(b.seed+21).plane(u/90, v/240) + b.drift
	return clamp01(g)
}

// pore returns how deep in a dash of the grain a place lies, 0–1. The face is laid out in
// lanes one unit wide; along each, about the given share of the dashes that would fit is there.
func (b *board) pore(layer noise, lane, along, share float64) float64 {
	s := b.seed + layer
	i, f := split(lane)
	along += 9.7 * s.cell(i, 1)
	j, l := split(along)
	if s.cell(i, j+2) >= share {
		return 0
	}
	length := 0.35 + 0.65*(s+1).cell(i, j)
	if l > length {
		return 0
	}
	ends := ramp(0, 0.15, l) * ramp(length, length-0.15, l)
	return ends * ramp(0, 0.3, f) * ramp(1, 0.7, f)
}
