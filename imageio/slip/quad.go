package slip

import (
	"math"

	"huewright/imageio"
)

const (
	// leastSquare is how much of its convex hull a frame's quadrilateral must fill: corners are rounded by blur, and sides bend
	// where a slip curls.
	leastSquare = 0.80
	// shortestEdge is the least length of a side, in pixels of the level.
	shortestEdge = 11
	// mostUnequal is how much longer one side may be than another.
	mostUnequal = 3.5
)

// quadOf is the quadrilateral of a component, clockwise, by its points from top to bottom; not ok where it has none.
func quadOf(points []imageio.Point) (q [4]imageio.Point, ok bool) {
	hull := hullOf(points)
	if len(hull) < 4 {
		return q, false
	}
	var mid imageio.Point
	for _, p := range hull {
		mid.X, mid.Y = mid.X+p.X/float64(len(hull)), mid.Y+p.Y/float64(len(hull))
	}
	// The point farthest from the middle is a corner, and the one farthest from that the corner opposite, or next to it. From there
	// each is moved in turn to where the area is largest.
	q[0] = farthest(hull, func(p imageio.Point) float64 { return distance(p, mid) })
	q[2] = farthest(hull, func(p imageio.Point) float64 { return distance(p, q[0]) })
	q[1] = farthest(hull, func(p imageio.Point) float64 { return -side(q[0], q[2], p) })
	q[3] = farthest(hull, func(p imageio.Point) float64 { return side(q[0], q[2], p) })
	for range 4 {
		for i := range q {
			before, after := q[(i+3)%4], q[(i+1)%4]
			q[i] = farthest(hull, func(p imageio.Point) float64 { return -side(before, after, p) })
		}
	}
	low, high := math.Inf(1), 0.0
	for i := range q {
		d := distance(q[i], q[(i+1)%4])
		low, high = min(low, d), max(high, d)
	}
	if low < shortestEdge || high > mostUnequal*low {
		return q, false
	}
	return q, area(q[:]) >= leastSquare*area(hull)
}

// hullOf is the convex hull of points that come in rows from top to bottom, clockwise.
// Source: Andrew (1979), Inf. Process. Lett. 9(5), 216–219.
func hullOf(points []imageio.Point) []imageio.Point {
	half := func(from, to, step int) (chain []imageio.Point) {
		for i := from; i != to; i += step {
			for len(chain) >= 2 && side(chain[len(chain)-2], chain[len(chain)-1], points[i]) <= 0 {
				chain = chain[:len(chain)-1]
			}
			chain = append(chain, points[i])
		}
		return chain[:len(chain)-1]
	}
	if len(points) < 3 {
		return nil
	}
	return append(half(0, len(points), 1), half(len(points)-1, -1, -1)...)
}

// side is twice the area of the triangle a, b, p: positive where p lies on the right of the way from a to b, as a photo shows it.
func side(a, b, p imageio.Point) float64 { return (b.X-a.X)*(p.Y-a.Y) - (b.Y-a.Y)*(p.X-a.X) }

func distance(a, b imageio.Point) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }

func farthest(points []imageio.Point, by func(imageio.Point) float64) (best imageio.Point) {
	most := math.Inf(-1)
	for _, p := range points {
		if d := by(p); d > most {
			best, most = p, d
		}
	}
	return best
}

// area is that of a polygon, positive where it goes round clockwise.
func area(polygon []imageio.Point) (sum float64) {
	for i, a := range polygon {
		b := polygon[(i+1)%len(polygon)]
		sum += (a.X*b.Y - b.X*a.Y) / 2
	}
	return sum
}
