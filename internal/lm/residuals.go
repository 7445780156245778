package lm

import "gonum.org/v1/gonum/mat"

// Residuals makes a Problem of so many residuals in so many unknowns. evaluate fills in the
// residuals r at x, and their derivatives, one row of j a residual, unless j is nil. All of j is
// to be written: it holds what it held before.
func Residuals(residuals, unknowns int, evaluate func(x, r []float64, j *mat.Dense)) Problem {
	return &leastSquares{evaluate: evaluate, r: mat.NewVecDense(residuals, nil), j: mat.NewDense(residuals, unknowns, nil)}
}

type leastSquares struct {
	evaluate func(x, r []float64, j *mat.Dense)
	r        *mat.VecDense
	j        *mat.Dense
}

func (p *leastSquares) Cost(x []float64) float64 {
	r := p.r.RawVector().Data
	p.evaluate(x, r, nil)
	sum := 0.0
	for _, v := range r {
		sum += v * v
	}
	return sum / 2
}

func (p *leastSquares) Normal(x, gradient []float64, curvature *mat.SymDense) {
	p.evaluate(x, p.r.RawVector().Data, p.j)
	mat.NewVecDense(len(gradient), gradient).MulVec(p.j.T(), p.r)
	curvature.SymOuterK(1, p.j.T())
}
