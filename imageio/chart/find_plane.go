package chart

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"huewright/imageio"
	"huewright/imageio/internal/blob"
)

// A gridPlane maps places on a lattice, counted in pitches from the centre of a patch, to the
// photo. It is a homography that may be known from many points.
type gridPlane struct{ blob.Plane }

// fitGridPlane finds the homography that takes places on a lattice nearest to where they were
// seen, by linear least squares. It is not ok with points on a line, or where a place lies
// beyond the horizon.
//
// Source: Hartley, Zisserman (2004), Multiple View Geometry, 2nd ed., section 4.1.
func fitGridPlane(grid, seen []imageio.Point) (gridPlane, bool) {
	if len(grid) < 4 {
		return gridPlane{}, false
	}
	var mid imageio.Point
	for _, p := range seen {
		mid.X += p.X / float64(len(seen))
		mid.Y += p.Y / float64(len(seen))
	}
	size := 1e-9
	for _, p := range seen {
		size = max(size, math.Abs(p.X-mid.X), math.Abs(p.Y-mid.Y))
	}
	a, b := mat.NewDense(2*len(grid), 8, nil), mat.NewVecDense(2*len(grid), nil)
	for i, g := range grid {
		x, y := (seen[i].X-mid.X)/size, (seen[i].Y-mid.Y)/size
		a.SetRow(2*i, []float64{g.X, g.Y, 1, 0, 0, 0, -g.X * x, -g.Y * x})
		a.SetRow(2*i+1, []float64{0, 0, 0, g.X, g.Y, 1, -g.X * y, -g.Y * y})
		b.SetVec(2*i, x)
		b.SetVec(2*i+1, y)
	}
	h, ok := leastSquares(a, b)
	if !ok {
		return gridPlane{}, false
	}
	g := gridPlane{blob.Plane{
		A: size*h[0] + mid.X*h[6], B: size*h[1] + mid.X*h[7], C: size*h[2] + mid.X,
		D: size*h[3] + mid.Y*h[6], E: size*h[4] + mid.Y*h[7], F: size*h[5] + mid.Y,
		G: h[6], H: h[7],
	}}
	for _, p := range grid {
		if g.G*p.X+g.H*p.Y+1 < 0.1 {
			return gridPlane{}, false
		}
	}
	return g, true
}

// leastSquares solves A·x = b by the normal equations, which is exact enough for unknowns and
// figures near 1.
func leastSquares(a *mat.Dense, b *mat.VecDense) ([]float64, bool) {
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

// grid is the inverse of point: the place on the lattice that a point of the photo shows. It
// is not ok beyond the horizon, nor next to it.
func (g *gridPlane) grid(p imageio.Point) (imageio.Point, bool) {
	u, v, ok := inverse(g.Plane, p)
	return imageio.Point{X: u, Y: v}, ok && g.G*u+g.H*v+1 > 0.05
}
