package chart

import (
	"huewright/imageio"
	"huewright/imageio/internal/plane"
)

// A pose is one way a chart may lie in a picture: where the centres of its four corner patches are, from the
// dark brown along its row and round, in pixels.
type pose [4]imageio.Point

// patchHalf is half a patch's side along the rows and along the columns, in pitches: ½ on a card without gaps,
// 0.37 on the smaller chart.
type patchHalf struct{ u, v float64 }

// usualHalf is taken where the edges of the patches cannot be seen.
var usualHalf = patchHalf{0.44, 0.44}

// grid maps columns 0–5 and rows 0–3, and places between them, to the picture.
func (q pose) grid() plane.Homography {
	const u, v = chartColumns - 1, chartRows - 1 // pitches to the unit square's side
	m := plane.FromCorners(q)
	return plane.Homography{A: m.A / u, B: m.B / v, C: m.C, D: m.D / u, E: m.E / v, F: m.F, G: m.G / u, H: m.H / v}
}

// corners are the outer corners of the patch field.
func (q pose) corners(half patchHalf) [4]imageio.Point {
	g := q.grid()
	const right, bottom = chartColumns - 1, chartRows - 1
	return [4]imageio.Point{
		g.Point(-half.u, -half.v), g.Point(right+half.u, -half.v),
		g.Point(right+half.u, bottom+half.v), g.Point(-half.u, bottom+half.v),
	}
}

// mirrored reports whether the pose goes round the other way than a chart seen from its front.
func (q pose) mirrored() bool {
	twice := 0.0
	for i := range q {
		n := q[(i+1)%4]
		twice += q[i].X*n.Y - q[i].Y*n.X
	}
	return twice < 0
}

// turned is one of the four ways the same 24 places may be meant: 0 as it is, 1 with its rows read from the
// other end, 2 with its columns, 3 with both, which is half a turn. 1 and 2 are the mirror images of 0.
func (q pose) turned(way int) pose {
	if way&1 != 0 {
		q = pose{q[1], q[0], q[3], q[2]}
	}
	if way&2 != 0 {
		q = pose{q[3], q[2], q[1], q[0]}
	}
	return q
}

// turnedPlace is which of the 24 places is the i-th when they are meant that way.
func turnedPlace(i, way int) int {
	column, row := i%chartColumns, i/chartColumns
	if way&1 != 0 {
		column = chartColumns - 1 - column
	}
	if way&2 != 0 {
		row = chartRows - 1 - row
	}
	return row*chartColumns + column
}
