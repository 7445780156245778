package chart

import (
	"gonum.org/v1/gonum/mat"

	"huewright/imageio"
	"huewright/imageio/internal/plane"
)

// An edge is a place where a patch was seen to end, on the lattice as it lay.
type edge struct {
	at     imageio.Point
	upward bool    // an end of a row: it has a column's u
	middle float64 // of the patch, along u or along v
	sign   float64 // −1 for the left or upper end
}

// A gridShift moves places on the lattice a little: the first-order homography
// u + s0 + s1·u + s2·v + u(s6·u + s7·v), v + s3 + s4·u + s5·v + v(s6·u + s7·v).
type gridShift [8]float64

func (s *gridShift) apply(p imageio.Point) imageio.Point {
	bend := s[6]*p.X + s[7]*p.Y
	return imageio.Point{
		X: p.X + s[0] + s[1]*p.X + s[2]*p.Y + p.X*bend,
		Y: p.Y + s[3] + s[4]*p.X + s[5]*p.Y + p.Y*bend,
	}
}

// undone is the place that apply takes to p.
func (s *gridShift) undone(p imageio.Point) imageio.Point {
	from := p
	for range 6 {
		to := s.apply(from)
		from = imageio.Point{X: from.X + p.X - to.X, Y: from.Y + p.Y - to.Y}
	}
	return from
}

// edgeShift finds the shift and the patches' size that bring the edges where a chart has
// them. Edges far off, of specks, letters and shadows, lose their say round by round.
func edgeShift(edges []edge) (gridShift, patchHalf, bool) {
	const rounds, soft = 8, 0.02
	var x [10]float64
	weight := make([]float64, len(edges))
	for i := range weight {
		weight[i] = 1
	}
	for range rounds {
		a, b := mat.NewDense(len(edges)+len(x), len(x), nil), mat.NewVecDense(len(edges)+len(x), nil)
		for i, e := range edges {
			row := a.RawRowView(i)
			u, v := e.at.X, e.at.Y
			w := weight[i]
			if e.upward {
				row[0], row[1], row[2], row[6], row[7], row[8] = w, w*u, w*v, w*u*u, w*u*v, -w*e.sign
				b.SetVec(i, w*(e.middle-u))
			} else {
				row[3], row[4], row[5], row[6], row[7], row[9] = w, w*u, w*v, w*u*v, w*v*v, -w*e.sign
				b.SetVec(i, w*(e.middle-v))
			}
		}
		for k := range x {
			a.Set(len(edges)+k, k, 1e-4) // keeps what no edge tells about as it is
		}
		got, ok := plane.LeastSquares(a, b)
		if !ok {
			return gridShift{}, patchHalf{}, false
		}
		copy(x[:], got)
		s := gridShift(x[:8])
		for i, e := range edges {
			at := s.apply(e.at)
			off := at.X - e.middle - e.sign*x[8]
			if !e.upward {
				off = at.Y - e.middle - e.sign*x[9]
			}
			weight[i] = 1 / (1 + off*off/(soft*soft))
		}
	}
	return gridShift(x[:8]), patchHalf{x[8], x[9]}, true
}
