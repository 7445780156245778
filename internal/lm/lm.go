// Package lm minimises a sum of squares by the method of Levenberg and Marquardt. Begin with [Minimise], and
// with [Residuals], which makes a [Problem] of a function that fills in residuals and their derivatives.
//
// A model with unknowns x leaves residuals r(x). The cost ½ Σ rᵢ² is minimised over x. With the Jacobian J of the
// residuals, the gradient of the cost is g = Jᵀr, and its curvature in the Gauss–Newton approximation C = JᵀJ. Each
// try solves the normal equations
//
//	(C + λ diag C) step = −g
//
// With little damping λ that is a Gauss–Newton step, which converges in a few near the minimum; with much of it a
// short step of steepest descent, which lowers the cost wherever anything does. A step that lowers the cost is taken,
// and λ divided by a factor; any other is rejected, and λ multiplied. As λ scales each unknown's own curvature, the
// units of the unknowns do not matter.
//
// A prior is one more residual: (xₖ − mean)/deviation for a normal one. If the other residuals are in
// standard deviations too, the minimum is the maximum a posteriori estimate, and the inverse of C
// there the covariance of Laplace's approximation. An unknown that no residual depends on needs a
// prior: without one C is singular, and no step can be taken.
//
// The minimum is a local one, downhill from the start; where there may be several, start from
// several places and keep the least.
//
// Sources: Levenberg (1944), A method for the solution of certain non-linear problems in least
// squares, Quart. Appl. Math. 2(2), 164–168. Marquardt (1963), An algorithm for least-squares
// estimation of nonlinear parameters, J. Soc. Indust. Appl. Math. 11(2), 431–441, for damping in
// proportion to diag C and for the rule by which it changes.
package lm

import (
	"context"

	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// A Problem is a cost, half a sum of squares, and its normal equations.
type Problem interface {
	// Cost returns the cost at x, which it must not keep. It may be NaN where the model has no
	// meaning: such a step is not taken.
	Cost(x []float64) float64
	// Normal puts the gradient Jᵀr at x into gradient, and the upper triangle of JᵀJ into
	// curvature. It is asked only for the x that Cost was asked for last.
	Normal(x, gradient []float64, curvature *mat.SymDense)
}

// Options control the search. The zero value is the default.
type Options struct {
	Damping float64 // λ to begin with; 0 means 1e-3
	Factor  float64 // by which λ is divided after a step that is taken and multiplied after one that is not; 0 means 5
	Steps   int     // most steps taken; 0 means any number
	Tries   int     // most steps tried, taken or not; 0 means 1000
	Longest float64 // longest step of any one unknown; 0 means any length

	// A step that lowers the cost by less than this ends the search: in units of the cost, or as a
	// share of it. Both 0 mean a share of 1e-6.
	Gain, GainShare float64

	// Foresee ends the search before a step that by the normal equations would lower the cost by less than that. The last step, whose
	// gain is no longer wanted, is then not tried, and so the minimum is missed by what it would have gained.
	Foresee bool
}

// λ stays above leastDamping, since from less it would take long to grow again. Where even the short steps of
// mostDamping do not lower the cost, none will.
const (
	leastDamping = 1e-9
	mostDamping  = 1e8
)

// A Result is the minimum that was found.
type Result struct {
	X         []float64
	Cost      float64
	Curvature *mat.SymDense // JᵀJ at X
	// Settled reports that the last step was taken and gained too little to go on. It is false
	// where steps or tries were used up, and where no step lowered the cost: at a start that is the
	// minimum to the last digit, or at one from which the model leads nowhere.
	Converged bool
}

// Minimise lowers the cost from start. Once ctx has ended it returns what it has; the caller checks ctx.
// It panics if start is empty.
func Minimise(ctx context.Context, p Problem, start []float64, opt Options) Result {
	opt.fill()
	n := len(start)
	gradient, next := make([]float64, n), make([]float64, n)
	out := Result{X: append([]float64(nil), start...), Curvature: mat.NewSymDense(n, nil)}
	out.Cost = p.Cost(out.X)
	p.Normal(out.X, gradient, out.Curvature)
	s := newSolver(n)
	damping, taken := opt.Damping, 0
	for range opt.Tries {
		if damping > mostDamping || opt.Steps > 0 && taken == opt.Steps || ctx.Err() != nil {
			break
		}
		step, ok := s.step(out.Curvature, gradient, damping)
		if !ok {
			damping *= opt.Factor
			continue
		}
		if opt.Foresee && opt.enough(floats.Dot(gradient, step)/2, out.Cost) {
			out.Converged = true
			break
		}
		for k, v := range out.X {
			next[k] = v - step[k]
			if opt.Longest > 0 {
				next[k] = v - min(max(step[k], -opt.Longest), opt.Longest)
			}
		}
		cost := p.Cost(next)
		if !(cost < out.Cost) { // also when it is not a number
			damping *= opt.Factor
			continue
		}
		gained, before := out.Cost-cost, out.Cost
		copy(out.X, next)
		out.Cost = cost
		taken++
		p.Normal(out.X, gradient, out.Curvature)
		if opt.enough(gained, before) {
			out.Converged = true
			break
		}
		damping = max(damping/opt.Factor, leastDamping)
	}
	return out
}

// enough reports whether a step gains too little to go on.
func (o *Options) enough(gained, before float64) bool {
	return gained < o.Gain || gained/before < o.GainShare
}

func (o *Options) fill() {
	if o.Damping == 0 {
		o.Damping = 1e-3
	}
	if o.Factor == 0 {
		o.Factor = 5
	}
	if o.Tries == 0 {
		o.Tries = 1000
	}
	if o.Gain == 0 && o.GainShare == 0 {
		o.GainShare = 1e-6
	}
}

// A solver reuses its memory from one solution of the damped normal equations to the next.
type solver struct {
	damped *mat.SymDense
	right  []float64
}

func newSolver(n int) *solver { return &solver{mat.NewSymDense(n, nil), make([]float64, n)} }

// step solves (C + λ diag C) x = g; the solution is to be subtracted from the unknowns. It is not ok
// where the matrix is not positive definite.
//
// Note: mat.Cholesky would also estimate the condition, which takes a third of the time and is not used.
func (s *solver) step(curvature *mat.SymDense, gradient []float64, damping float64) (step []float64, ok bool) {
	s.damped.CopySym(curvature)
	for k := range gradient {
		s.damped.SetSym(k, k, curvature.At(k, k)*(1+damping))
	}
	factor, ok := lapack64.Potrf(s.damped.RawSymmetric())
	if !ok {
		return nil, false
	}
	copy(s.right, gradient)
	lapack64.Potrs(factor, blas64.General{Rows: len(gradient), Cols: 1, Stride: 1, Data: s.right})
	return s.right, true
}
