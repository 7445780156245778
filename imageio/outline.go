package imageio

import (
	"math"
	"slices"
)

// Outline is an area on a photo: a simple polygon, or several, with holes where something else shows
// through. A pixel belongs to it when its centre lies inside one of the polygons and in no hole. The
// zero value is no outline.
type Outline struct {
	Points []Point   // three or more, either way round, not closed by repeating the first
	More   [][]Point // further parts, each likewise
	Holes  [][]Point // each likewise
}

// Rect is the outline of a rectangle by its top left corner and its size, in pixels.
func Rect(x, y, w, h float64) Outline {
	return Outline{Points: []Point{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}}
}

// Bounds are the corners of the smallest upright rectangle round the outline.
func (o Outline) Bounds() (low, high Point) {
	low, high = Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	for _, p := range slices.Concat(o.Points, slices.Concat(o.More...)) {
		low, high = Point{min(low.X, p.X), min(low.Y, p.Y)}, Point{max(high.X, p.X), max(high.Y, p.Y)}
	}
	return low, high
}

// Centre is the centre of gravity of the first part of the outline; holes do not move it.
func (o Outline) Centre() Point {
	var x, y, area float64
	for i, a := range o.Points {
		b := o.Points[(i+1)%len(o.Points)]
		cross := a.X*b.Y - b.X*a.Y
		x, y, area = x+cross*(a.X+b.X), y+cross*(a.Y+b.Y), area+cross
	}
	if area == 0 {
		return o.Points[0]
	}
	return Point{x / (3 * area), y / (3 * area)}
}

// Area is the area of the polygons in square pixels; their holes are not taken off.
func (o Outline) Area() float64 {
	sum := ringArea(o.Points)
	for _, part := range o.More {
		sum += ringArea(part)
	}
	return sum
}

// Within is what lies on a photo of that size. Parts and holes of which nothing does are left out; a part that the photo's edge cuts
// in two stays one, along the edge.
//
// Source: Sutherland and Hodgman (1974), Reentrant polygon clipping, doi:10.1145/360767.360802.
func (o Outline) Within(width, height int) Outline {
	cut := func(ring []Point) []Point {
		for _, e := range [4][3]float64{{1, 0, 0}, {-1, 0, float64(width)}, {0, 1, 0}, {0, -1, float64(height)}} {
			inside := func(p Point) float64 { return e[0]*p.X + e[1]*p.Y + e[2] }
			var kept []Point
			for i, p := range ring {
				q := ring[(i+1)%len(ring)]
				a, b := inside(p), inside(q)
				if a >= 0 {
					kept = append(kept, p)
				}
				if (a >= 0) != (b >= 0) {
					kept = append(kept, Point{p.X + (q.X-p.X)*a/(a-b), p.Y + (q.Y-p.Y)*a/(a-b)})
				}
			}
			ring = slices.Compact(kept)
			if n := len(ring); n > 1 && ring[0] == ring[n-1] {
				ring = ring[:n-1]
			}
		}
		return ring
	}
	var out Outline
	for i, ring := range append([][]Point{o.Points}, o.More...) {
		switch ring = cut(ring); {
		case len(ring) < 3:
		case i == 0 || out.Points == nil:
			out.Points = ring
		default:
			out.More = append(out.More, ring)
		}
	}
	for _, ring := range o.Holes {
		if ring = cut(ring); len(ring) >= 3 {
			out.Holes = append(out.Holes, ring)
		}
	}
	return out
}

// Contains reports whether a place lies in one of the polygons and in no hole.
func (o Outline) Contains(p Point) bool {
	in := func(ring []Point) bool { return ringContains(ring, p) }
	return (in(o.Points) || slices.ContainsFunc(o.More, in)) && !slices.ContainsFunc(o.Holes, in)
}

// ringContains reports whether a line from a place to the right crosses the sides of a polygon an odd number of times.
func ringContains(ring []Point, p Point) (in bool) {
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			in = !in
		}
	}
	return in
}

// Mapped is the outline with every corner moved.
func (o Outline) Mapped(move func(Point) Point) Outline {
	ring := func(points []Point) []Point {
		out := make([]Point, len(points))
		for i, p := range points {
			out[i] = move(p)
		}
		return out
	}
	rings := func(all [][]Point) (out [][]Point) {
		for _, points := range all {
			out = append(out, ring(points))
		}
		return out
	}
	return Outline{Points: ring(o.Points), More: rings(o.More), Holes: rings(o.Holes)}
}

// ringArea is the area that a simple polygon encloses, in square pixels.
func ringArea(ring []Point) float64 {
	sum := 0.0
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		sum += (p.X-ring[0].X)*(q.Y-ring[0].Y) - (q.X-ring[0].X)*(p.Y-ring[0].Y)
	}
	return math.Abs(sum) / 2
}
