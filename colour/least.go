package colour

import (
	"context"
	"math"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// A leastSquares problem has a vector of residuals that depend smoothly on parameters.
type leastSquares interface {
	size() (residuals, parameters int)
	// evaluate fills r, and j (row by row, one row a residual) unless it is nil.
	evaluate(params, r []float64, j *mat.Dense)
}

// minimise lowers the sum of squared residuals from start by Levenberg–Marquardt, damping
// each parameter in proportion to its own curvature, until a step gains less than one part
// in a million or steps are used up. It returns the parameters and JᵀJ there. Once ctx has ended it
// stops short of that, for the caller to notice.
//
// Source: Marquardt (1963), J. Soc. Indust. Appl. Math. 11(2), 431–441.
func minimise(ctx context.Context, p leastSquares, start []float64, steps int) ([]float64, *mat.SymDense) {
	n, m := p.size()
	params := append([]float64(nil), start...)
	trial := make([]float64, m)
	r, rTrial := make([]float64, n), make([]float64, n)
	j := mat.NewDense(n, m, nil)
	p.evaluate(params, r, j)
	cost := sumOfSquares(r)
	normal := normalMatrix(j)
	damping := 1e-3
	for range steps {
		gradient := mat.NewVecDense(m, nil)
		gradient.MulVec(j.T(), mat.NewVecDense(n, r))
		gained := 0.0
		for damping < 1e10 && gained == 0 && ctx.Err() == nil {
			step, ok := dampedStep(normal, gradient, damping)
			if !ok {
				damping *= 10
				continue
			}
			for k := range trial {
				trial[k] = params[k] - step.AtVec(k)
			}
			p.evaluate(trial, rTrial, nil)
			if c := sumOfSquares(rTrial); c < cost {
				gained = (cost - c) / cost
				cost = c
				damping = math.Max(damping/5, 1e-9)
			} else {
				damping *= 5
			}
		}
		if gained == 0 {
			break
		}
		copy(params, trial)
		p.evaluate(params, r, j)
		normal = normalMatrix(j)
		if gained < 1e-6 {
			break
		}
	}
	return params, normal
}

func dampedStep(normal *mat.SymDense, gradient *mat.VecDense, damping float64) (*mat.VecDense, bool) {
	m := normal.SymmetricDim()
	damped := mat.NewSymDense(m, nil)
	damped.CopySym(normal)
	for k := range m {
		damped.SetSym(k, k, normal.At(k, k)*(1+damping))
	}
	// mat.Cholesky would estimate the condition too, in a third of the time, for nobody.
	factor, ok := lapack64.Potrf(damped.RawSymmetric())
	if !ok {
		return nil, false
	}
	step := mat.NewVecDense(m, nil)
	step.CopyVec(gradient)
	lapack64.Potrs(factor, blas64.General{Rows: m, Cols: 1, Stride: 1, Data: step.RawVector().Data})
	return step, true
}

func normalMatrix(j *mat.Dense) *mat.SymDense {
	_, m := j.Dims()
	normal := mat.NewSymDense(m, nil)
	normal.SymOuterK(1, j.T())
	return normal
}

func sumOfSquares(r []float64) float64 {
	sum := 0.0
	for _, v := range r {
		sum += v * v
	}
	return sum
}
