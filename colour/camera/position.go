package camera

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"huewright/colour/sensor"
)

// By position residuals are held against a fit that is surer of itself than the one that corrects: this share of the deviations of
// colours rendered alike, and of noise. Our own choice, as are the figures of lights.
const positionShare = 0.7

// A positionTest holds hypotheses about the light on each sample of a chart against the fit to them. Light on a sample changes its
// residuals by the Jacobian; the covariance of residuals is that of the model's prior, of colours rendered alike, and of noise.
type positionTest struct {
	samples []Sample
	index   []int      // of each among all that were given
	byLight []jacobian // only its columns of gains are used
	factor  mat.Cholesky
	off     *mat.VecDense // wanted less predicted at the prior mean, to first order, over the covariance
}

// newPositionTest fits the model to the samples that are not skipped or in doubt. It is not ok with fewer than a chart's.
func newPositionTest(all []Sample) (*positionTest, bool) {
	t := &positionTest{}
	for i, s := range all {
		if s.Skip.Empty() && s.Doubt.Empty() {
			t.samples, t.index = append(t.samples, s), append(t.index, i)
		}
	}
	n := len(t.samples)
	if n < leastOfChart {
		return nil, false
	}
	p := (*cameraParams)(solve(sensor.Rendered, t.samples, &identity).X)
	moved := mat.NewVecDense(nCamera, nil)
	for k := range p {
		moved.SetVec(k, p[k]-identity[k])
	}
	j, left := mat.NewDense(3*n, nCamera, nil), mat.NewVecDense(3*n, nil)
	alike := residualField{}
	for i := range t.samples {
		s := &t.samples[i]
		lab, slopes := p.sensitivity(s.Camera, s.At)
		t.byLight, alike.at = append(t.byLight, slopes), append(alike.at, lab)
		for k, v := range [3]float64{s.Want.L - lab.L, s.Want.A - lab.A, s.Want.B - lab.B} {
			j.SetRow(3*i+k, slopes[k][:])
			left.SetVec(3*i+k, v)
		}
	}
	t.off = mat.NewVecDense(3*n, nil)
	t.off.MulVec(j, moved)
	t.off.AddVec(t.off, left)
	if !t.factor.Factorize(t.covariance(j, &alike)) || t.factor.SolveVecTo(t.off, t.off) != nil {
		return nil, false // cannot be, with noise on the diagonal, but for NaN
	}
	return t, true
}

// covariance is that of the residuals.
func (t *positionTest) covariance(j *mat.Dense, alike *residualField) *mat.SymDense {
	var byModel mat.Dense
	byModel.Product(j, inverseOf(priorOf(sensor.Rendered).of(len(t.samples)).precision()), j.T())
	n := len(t.samples)
	cov := mat.NewSymDense(3*n, nil)
	for i := range 3 * n {
		for k := i; k < 3*n; k++ {
			v := byModel.At(i, k)
			if i%3 == k%3 {
				v += positionShare * positionShare * residualCovariance(alike.at[i/3], alike.at[k/3])
			}
			if i == k {
				noise := positionShare / t.samples[i/3].weight()
				v += noise * noise
			}
			cov.SetSym(i, k, v)
		}
	}
	return cov
}

// precision is that of the parameters before anything is fitted, with the sums of the rows of B.
func (c cameraPrior) precision() *mat.SymDense {
	p := mat.NewSymDense(nCamera, nil)
	for k, sd := range c.deviations() {
		p.SetSym(k, k, 1/(sd*sd))
	}
	for from := atMatrix; from < nCamera; from += nTerms {
		for a := from; a < from+nTerms; a++ {
			for b := a; b < from+nTerms; b++ {
				p.SetSym(a, b, p.At(a, b)+1/(greySD*greySD))
			}
		}
	}
	return p
}

// hold returns the natural logarithm of the Bayes factor of a hypothesis over one light, and the most probable values of its unknowns.
func (t *positionTest) hold(h *lightHypothesis) (better float64, values []float64) {
	n := len(t.samples)
	by := mat.NewDense(3*n, h.columns, nil)
	for i := range n {
		for c := range h.columns {
			// What lies in more light is recorded lighter than it is.
			if w := h.at(t.index[i], t.samples[i].At, c); w != 0 {
				for k := range 3 {
					by.Set(3*i+k, c, -w*t.byLight[i][k][atGain+c%3])
				}
			}
		}
	}
	prior := mat.NewSymDense(h.columns, nil)
	for a := range h.columns {
		for b := a; b < h.columns; b++ {
			if a/3 == b/3 {
				prior.SetSym(a, b, h.sd*h.sd)
			}
		}
		prior.SetSym(a, a, h.sd*h.sd+h.hueSD*h.hueSD)
	}
	var solved, normal mat.Dense
	if t.factor.SolveTo(&solved, by) != nil {
		return math.Inf(-1), nil
	}
	normal.Mul(by.T(), &solved)
	precision := inverseOf(prior)
	posterior := mat.NewSymDense(h.columns, nil)
	for a := range h.columns {
		for b := a; b < h.columns; b++ {
			posterior.SetSym(a, b, normal.At(a, b)+precision.At(a, b))
		}
	}
	var after, before mat.Cholesky
	right, x := mat.NewVecDense(h.columns, nil), mat.NewVecDense(h.columns, nil)
	right.MulVec(by.T(), t.off)
	if !after.Factorize(posterior) || !before.Factorize(precision) || after.SolveVecTo(x, right) != nil {
		return math.Inf(-1), nil
	}
	return (mat.Dot(right, x) - after.LogDet() + before.LogDet()) / 2, x.RawVector().Data
}
