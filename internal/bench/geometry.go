package bench

import (
	"math"
)

// A spot is a place in the scene: millimetres on the plane of the wall, from the top left.
type spot struct{ x, y float64 }

// A shape is a polygon of spots.
type shape []spot

func rect(x, y, w, h float64) shape {
	return shape{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}
}

func disc(x, y, radius float64) shape {
	s := make(shape, 40)
	for i := range s {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(len(s)))
		s[i] = spot{x + radius*cos, y + radius*sin}
	}
	return s
}

// blob is a disc with a wandering edge, up to rough of its radius.
func blob(n noise, x, y, rx, ry, rough float64) shape {
	s := make(shape, 72)
	for i := range s {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(len(s)))
		r := 1 + rough*n.octaves(2*cos, 2*sin, 3)
		s[i] = spot{x + r*rx*cos, y + r*ry*sin}
	}
	return s
}

// turned is s turned clockwise about a spot.
func (s shape) turned(degrees float64, about spot) shape {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	out := make(shape, len(s))
	for i, p := range s {
		dx, dy := p.x-about.x, p.y-about.y
		out[i] = spot{about.x + dx*cos - dy*sin, about.y + dx*sin + dy*cos}
	}
	return out
}

// contains counts crossings to the right of the spot: odd is inside.
func (s shape) contains(x, y float64) bool {
	in := false
	for i, j := 0, len(s)-1; i < len(s); j, i = i, i+1 {
		a, b := s[i], s[j]
		if (a.y > y) != (b.y > y) && x < a.x+(y-a.y)/(b.y-a.y)*(b.x-a.x) {
			in = !in
		}
	}
	return in
}

// A box is the smallest upright rectangle round a shape.
type box struct{ x0, y0, x1, y1 float64 }

func (s shape) box() box {
	b := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, p := range s {
		b.x0, b.y0 = min(b.x0, p.x), min(b.y0, p.y)
		b.x1, b.y1 = max(b.x1, p.x), max(b.y1, p.y)
	}
	return b
}

func (b box) contains(x, y float64) bool { return x >= b.x0 && x < b.x1 && y >= b.y0 && y < b.y1 }

func (b box) meets(c box) bool { return b.x0 < c.x1 && c.x0 < b.x1 && b.y0 < c.y1 && c.y0 < b.y1 }

func (b box) grown(by float64) box { return box{b.x0 - by, b.y0 - by, b.x1 + by, b.y1 + by} }

func (b box) moved(dx, dy float64) box { return box{b.x0 + dx, b.y0 + dy, b.x1 + dx, b.y1 + dy} }

// soft is how far inside the box a spot is: 1 well inside, 0 well outside, ½ on an edge, and
// a smooth slope of the given width in between.
func (b box) soft(x, y, width float64) float64 {
	h := width / 2
	if x <= b.x0-h || x >= b.x1+h || y <= b.y0-h || y >= b.y1+h {
		return 0
	}
	return ramp(b.x0-h, b.x0+h, x) * ramp(b.x1+h, b.x1-h, x) * ramp(b.y0-h, b.y0+h, y) * ramp(b.y1+h, b.y1-h, y)
}

// softRound is soft for the ellipse that fills the box.
func (b box) softRound(x, y, width float64) float64 {
	rx, ry := (b.x1-b.x0)/2, (b.y1-b.y0)/2
	from := math.Hypot((x-b.x0-rx)/rx, (y-b.y0-ry)/ry)
	h := width / 2 / min(rx, ry)
	return ramp(1+h, 1-h, from)
}
