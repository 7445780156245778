package lm

import "gonum.org/v1/gonum/mat"

// Residuals makes a [Problem] of so many residuals in so many unknowns. evaluate fills in the
// residuals r at x and, unless j is nil, their Jacobian, one row of j for each residual. It must write all of j,
// which still holds the values of the last call.
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
