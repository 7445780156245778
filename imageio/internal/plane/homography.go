// Package plane maps flat faces, seen from anywhere, to a photo: the homography of a rectangle from its four
// corners, of a lattice from many of its points, and what is asked of quadrilaterals. Points are in pixels of
// the photo; places on the face are in units that the caller chooses.
package plane

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"huewright/imageio"
	"huewright/internal/stat"
)

// A Homography maps a place (u, v) on a flat face to x = (Au + Bv + C)/w, y = (Du + Ev + F)/w with
// w = Gu + Hv + 1.
type Homography struct{ A, B, C, D, E, F, G, H float64 }

// FromCorners returns the homography that takes the corners (0,0), (1,0), (1,1), (0,1) of the unit square
// to four points, which must be the corners of a convex quadrilateral.
//
// Source: Heckbert (1989), Fundamentals of texture mapping and image warping, section 2.2.3.
func FromCorners(q [4]imageio.Point) Homography {
	sx := q[0].X - q[1].X + q[2].X - q[3].X
	sy := q[0].Y - q[1].Y + q[2].Y - q[3].Y
	dx1, dy1 := q[1].X-q[2].X, q[1].Y-q[2].Y
	dx2, dy2 := q[3].X-q[2].X, q[3].Y-q[2].Y
	det := dx1*dy2 - dx2*dy1
	g := (sx*dy2 - dx2*sy) / det
	h := (dx1*sy - sx*dy1) / det
	return Homography{
		A: q[1].X - q[0].X + g*q[1].X, B: q[3].X - q[0].X + h*q[3].X, C: q[0].X,
		D: q[1].Y - q[0].Y + g*q[1].Y, E: q[3].Y - q[0].Y + h*q[3].Y, F: q[0].Y,
		G: g, H: h,
	}
}

// Fit returns the homography that takes places on a face nearest to where they were seen, by linear least
// squares. It is not ok with points on a line, or where a place lies beyond the horizon.
//
// Source: Hartley, Zisserman (2004), Multiple View Geometry, 2nd ed., section 4.1.
func Fit(places, seen []imageio.Point) (h Homography, ok bool) {
	if len(places) < 4 {
		return h, false
	}
	from, reach := spread(places)
	mid, size := spread(seen)
	a, b := mat.NewDense(2*len(places), 8, nil), mat.NewVecDense(2*len(places), nil)
	for i, g := range places {
		u, v := (g.X-from.X)/reach, (g.Y-from.Y)/reach // near 1 the equations are exact enough
		x, y := (seen[i].X-mid.X)/size, (seen[i].Y-mid.Y)/size
		a.SetRow(2*i, []float64{u, v, 1, 0, 0, 0, -u * x, -v * x})
		a.SetRow(2*i+1, []float64{0, 0, 0, u, v, 1, -u * y, -v * y})
		b.SetVec(2*i, x)
		b.SetVec(2*i+1, y)
	}
	x, ok := LeastSquares(a, b)
	if !ok {
		return h, false
	}
	h = Homography{
		A: size*x[0] + mid.X*x[6], B: size*x[1] + mid.X*x[7], C: size*x[2] + mid.X,
		D: size*x[3] + mid.Y*x[6], E: size*x[4] + mid.Y*x[7], F: size*x[5] + mid.Y,
		G: x[6], H: x[7],
	}
	for _, g := range places {
		if h.Depth((g.X-from.X)/reach, (g.Y-from.Y)/reach) < 0.1 {
			return Homography{}, false
		}
	}
	unit := Homography{A: 1 / reach, C: -from.X / reach, E: 1 / reach, F: -from.Y / reach}
	return unit.Then(&h), true
}

// spread is the middle of points, and how far they reach from it along an axis.
func spread(points []imageio.Point) (middle imageio.Point, reach float64) {
	for _, p := range points {
		middle.X += p.X / float64(len(points))
		middle.Y += p.Y / float64(len(points))
	}
	reach = 1e-9
	for _, p := range points {
		reach = max(reach, math.Abs(p.X-middle.X), math.Abs(p.Y-middle.Y))
	}
	return middle, reach
}

// Then is the homography that takes a place to where g takes what h takes it to. Neither may have its first place, (0, 0), on the
// horizon.
func (h *Homography) Then(g *Homography) Homography { return product(g.matrix(), h.matrix()) }

// Inverted is the homography that takes points back to their places.
func (h *Homography) Inverted() Homography {
	inverse, _ := stat.Inverse3(h.matrix())
	return product(&inverse, &[3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}})
}

func (h *Homography) matrix() *[3][3]float64 {
	return &[3][3]float64{{h.A, h.B, h.C}, {h.D, h.E, h.F}, {h.G, h.H, 1}}
}

// product is that of two matrices, as a homography.
func product(a, b *[3][3]float64) Homography {
	var m [3][3]float64
	for i := range 3 {
		for k := range 3 {
			for j := range 3 {
				m[i][j] += a[i][k] * b[k][j]
			}
		}
	}
	w := m[2][2]
	return Homography{m[0][0] / w, m[0][1] / w, m[0][2] / w, m[1][0] / w, m[1][1] / w, m[1][2] / w, m[2][0] / w, m[2][1] / w}
}

// LeastSquares solves A·x = b by the normal equations, which are exact enough for unknowns and figures
// near 1. It is not ok where the equations leave an unknown open.
func LeastSquares(a *mat.Dense, b *mat.VecDense) (solution []float64, ok bool) {
	_, n := a.Dims()
	var normal mat.SymDense
	normal.SymOuterK(1, a.T())
	var right mat.VecDense
	right.MulVec(a.T(), b)
	var factor mat.Cholesky
	if !factor.Factorize(&normal) || factor.Cond() > 1e12 {
		return nil, false
	}
	x := mat.NewVecDense(n, nil)
	if err := factor.SolveVecTo(x, &right); err != nil {
		return nil, false
	}
	return x.RawVector().Data, true
}

// Depth is the distance of the place (u, v) from the camera over that of (0, 0): 0 on the horizon.
func (h *Homography) Depth(u, v float64) float64 { return h.G*u + h.H*v + 1 }

// Point returns where the photo shows the place (u, v).
func (h *Homography) Point(u, v float64) imageio.Point {
	w := h.Depth(u, v)
	return imageio.Point{X: (h.A*u + h.B*v + h.C) / w, Y: (h.D*u + h.E*v + h.F) / w}
}

// Inverse returns the place that a point of the photo shows. It is not ok beyond the horizon.
func (h *Homography) Inverse(at imageio.Point) (u, v float64, ok bool) {
	// (a − gx)u + (b − hx)v = x − c and likewise for y.
	a, b, e := h.A-h.G*at.X, h.B-h.H*at.X, at.X-h.C
	c, d, f := h.D-h.G*at.Y, h.E-h.H*at.Y, at.Y-h.F
	det := a*d - b*c
	if det == 0 {
		return 0, 0, false
	}
	u, v = (e*d-b*f)/det, (a*f-e*c)/det
	return u, v, h.Depth(u, v) > 0
}
