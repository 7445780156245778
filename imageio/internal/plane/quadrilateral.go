package plane

import "huewright/imageio"

// Centre returns where the diagonals of a quadrilateral cross: the middle of the rectangle it shows.
func Centre(q [4]imageio.Point) imageio.Point {
	h := FromCorners(q)
	return h.Point(0.5, 0.5)
}

// Encloses reports whether a point lies on the same side of all four edges of a quadrilateral.
func Encloses(q [4]imageio.Point, p imageio.Point) bool {
	left := 0
	for i, a := range q {
		b := q[(i+1)%4]
		if (b.X-a.X)*(p.Y-a.Y) > (b.Y-a.Y)*(p.X-a.X) {
			left++
		}
	}
	return left == 0 || left == 4
}

// Scaled returns a quadrilateral with all its coordinates multiplied by a factor.
func Scaled(q [4]imageio.Point, by float64) [4]imageio.Point {
	for i := range q {
		q[i] = imageio.Point{X: by * q[i].X, Y: by * q[i].Y}
	}
	return q
}
