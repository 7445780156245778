package blob

import (
	"math"

	"huewright/imageio"
)

const (
	ChartColumns, ChartRows = 6, 4
)

// A Plane maps a flat rectangle, seen from anywhere, to the photo: the homography that takes
// the unit square's corners (0,0), (1,0), (1,1), (0,1) to four points.
type Plane struct{ A, B, C, D, E, F, G, H float64 }

// PlaneOf solves for the homography in closed form. The points must be the corners of a
// convex quadrilateral.
//
// Source: Heckbert (1989), Fundamentals of texture mapping and image warping, section 2.2.3.
func PlaneOf(q [4]imageio.Point) Plane {
	sx := q[0].X - q[1].X + q[2].X - q[3].X
	sy := q[0].Y - q[1].Y + q[2].Y - q[3].Y
	dx1, dy1 := q[1].X-q[2].X, q[1].Y-q[2].Y
	dx2, dy2 := q[3].X-q[2].X, q[3].Y-q[2].Y
	det := dx1*dy2 - dx2*dy1
	g := (sx*dy2 - dx2*sy) / det
	h := (dx1*sy - sx*dy1) / det
	return Plane{
		A: q[1].X - q[0].X + g*q[1].X, B: q[3].X - q[0].X + h*q[3].X, C: q[0].X,
		D: q[1].Y - q[0].Y + g*q[1].Y, E: q[3].Y - q[0].Y + h*q[3].Y, F: q[0].Y,
		G: g, H: h,
	}
}

// Point is the place on the photo of (u, v) on the rectangle.
func (m Plane) Point(u, v float64) imageio.Point {
	w := m.G*u + m.H*v + 1
	return imageio.Point{X: (m.A*u + m.B*v + m.C) / w, Y: (m.D*u + m.E*v + m.F) / w}
}

// ShortestSide is the length of the shortest edge of a patch anywhere on the chart.
func ShortestSide(q [4]imageio.Point) float64 {
	shortest := math.Inf(1)
	for i, parts := range []float64{ChartColumns, ChartRows, ChartColumns, ChartRows} {
		next := q[(i+1)%4]
		shortest = min(shortest, math.Hypot(next.X-q[i].X, next.Y-q[i].Y)/parts)
	}
	return shortest
}

// Encloses reports whether a point lies on the same side of all four edges of a quadrilateral.
func Encloses(corners [4]imageio.Point, p imageio.Point) bool {
	left := 0
	for i, a := range corners {
		b := corners[(i+1)%4]
		if (b.X-a.X)*(p.Y-a.Y) > (b.Y-a.Y)*(p.X-a.X) {
			left++
		}
	}
	return left == 0 || left == 4
}
