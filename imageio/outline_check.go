package imageio

import (
	"math"

	"huewright/internal/fault"
)

// Check reports what is wrong with an outline as a shape, as a fault of kind Use: too few points, numbers that are
// none, no area, sides that cross.
func (o Outline) Check() error {
	if err := checkRing(o.Points, "outline"); err != nil {
		return err
	}
	for _, part := range o.More {
		if err := checkRing(part, "part"); err != nil {
			return err
		}
	}
	for _, hole := range o.Holes {
		if err := checkRing(hole, "hole"); err != nil {
			return err
		}
	}
	return nil
}

// checkRing checks one ring, which is the outline itself, a further part of it or a hole in it.
func checkRing(ring []Point, which string) error {
	if len(ring) < 3 {
		return fault.New(fault.Use, "outline.few-corners", "ring", which, "corners", len(ring))
	}
	for i, p := range ring {
		if !finite(p.X) || !finite(p.Y) {
			return fault.New(fault.Use, "outline.no-place", "ring", which, "corner", i+1)
		}
		if math.Abs(p.X) > farthest || math.Abs(p.Y) > farthest {
			return fault.New(fault.Use, "outline.far-away", "ring", which, "corner", i+1, "x", p.X, "y", p.Y)
		}
	}
	if i, j, crossed := crossing(ring); crossed {
		return fault.New(fault.Use, "outline.crosses", "ring", which, "first", i+1, "second", j+1)
	}
	if ringArea(ring) == 0 {
		return fault.New(fault.Use, "outline.no-area", "ring", which)
	}
	return nil
}

// farthest is how far from a photo's corner an outline may reach, in pixels: more than any photo is large,
// and little enough to count with.
const farthest = 1e6

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// crossing finds two sides that have a point in common besides the corner neighbours share.
func crossing(ring []Point) (i, j int, found bool) {
	n := len(ring)
	for i := range n {
		a, b := ring[i], ring[(i+1)%n]
		if a == b {
			return i, (i + 1) % n, true
		}
		for j := i + 1; j < n; j++ {
			c, d := ring[j], ring[(j+1)%n]
			switch {
			case j == i+1:
				if side(a, b, d) == 0 && between(a, b, d) || side(c, d, a) == 0 && between(c, d, a) {
					return i, j, true // turns back on itself
				}
			case i == 0 && j == n-1:
				if side(c, d, b) == 0 && between(c, d, b) || side(a, b, c) == 0 && between(a, b, c) {
					return i, j, true
				}
			case sidesMeet(a, b, c, d):
				return i, j, true
			}
		}
	}
	return 0, 0, false
}

// side is positive, zero or negative as p lies left of, on, or right of the line through a and b.
func side(a, b, p Point) float64 { return (b.X-a.X)*(p.Y-a.Y) - (b.Y-a.Y)*(p.X-a.X) }

// between reports whether p, known to lie on the line through a and b, lies between them.
func between(a, b, p Point) bool {
	return min(a.X, b.X) <= p.X && p.X <= max(a.X, b.X) && min(a.Y, b.Y) <= p.Y && p.Y <= max(a.Y, b.Y)
}

func sidesMeet(a, b, c, d Point) bool {
	abc, abd, cda, cdb := side(a, b, c), side(a, b, d), side(c, d, a), side(c, d, b)
	if (abc > 0) != (abd > 0) && (cda > 0) != (cdb > 0) && abc != 0 && abd != 0 && cda != 0 && cdb != 0 {
		return true
	}
	return abc == 0 && between(a, b, c) || abd == 0 && between(a, b, d) ||
		cda == 0 && between(c, d, a) || cdb == 0 && between(c, d, b)
}
