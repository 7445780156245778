package camera

import (
	"math"

	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"

	"huewright/colour"
)

// The residuals of the camera model are smooth in colour: a phone that renders one orange too
// red renders its neighbours too red. A Gaussian process over the predicted Lab carries the
// residuals of the samples to the colours between them, and fades away from them.
//
// Source of the method: Rasmussen, Williams (2006), Gaussian Processes for Machine Learning,
// chapter 2. Size, length and noise are from photographs of the chart, and flat: halving or
// doubling any of them changes the leave-one-out error by less than 0.05.
const (
	residualSize   = 3.0  // standard deviation in Lab
	residualLength = 15.0 // distance in Lab over which residuals stay alike
)

// residualField is the smooth component of the residuals of a fit.
type residualField struct {
	at      []colour.Lab
	weights [][3]float64
}

// residualCovariance is the covariance of the residuals at two colours, in each of L*, a*, b*.
func residualCovariance(a, b colour.Lab) float64 {
	dl, da, db := a.L-b.L, a.A-b.A, a.B-b.B
	return residualSize * residualSize * math.Exp(-(dl*dl+da*da+db*db)/(2*residualLength*residualLength))
}

// residualsOf learns the field from the samples of a fit. The field is empty, and corrects
// nothing, when there are too few of them.
func residualsOf(p *cameraParams, samples []Sample) residualField {
	n := len(samples)
	if n < leastOfChart {
		return residualField{}
	}
	f := residualField{at: make([]colour.Lab, n), weights: make([][3]float64, n)}
	left := mat.NewDense(n, 3, nil)
	for i := range samples {
		s := &samples[i]
		f.at[i] = p.xyz(s.Camera, s.At).Lab()
		left.SetRow(i, []float64{s.Want.L - f.at[i].L, s.Want.A - f.at[i].A, s.Want.B - f.at[i].B})
	}
	cov := mat.NewSymDense(n, nil)
	for i := range samples {
		for k := i; k < n; k++ {
			cov.SetSym(i, k, residualCovariance(f.at[i], f.at[k]))
		}
		noise := 1 / samples[i].weight()
		cov.SetSym(i, i, cov.At(i, i)+noise*noise)
	}
	// mat.Cholesky would also estimate the condition, which takes as long as all else and is not used.
	factor, ok := lapack64.Potrf(cov.RawSymmetric())
	if !ok { // cannot be, with noise on the diagonal, but for NaN
		return residualField{}
	}
	lapack64.Potrs(factor, left.RawMatrix())
	for i := range f.weights {
		copy(f.weights[i][:], left.RawRowView(i))
	}
	return f
}

// correct adds to c the residual expected at it.
func (f *residualField) correct(c colour.Lab) colour.Lab {
	out := c
	for i, at := range f.at {
		k := residualCovariance(c, at)
		out.L += k * f.weights[i][0]
		out.A += k * f.weights[i][1]
		out.B += k * f.weights[i][2]
	}
	return out
}
