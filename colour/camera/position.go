package camera

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"huewright/colour/sensor"
	"huewright/internal/stat"
)

// By position residuals are held against a fit whose deviations are known but for a scale of their own: a webcam is further off than a good
// camera all over the chart, and that is no second light. The square of the scale has a scaled inverse chi-squared prior, and what a camera
// does to saturation is open. The figures are the likeliest by what 18 charts by phones and cameras leave unexplained; webcams have no part
// in them.
//
// Source of the prior: Gelman et al. (2013), Bayesian Data Analysis, 3rd ed., section 2.6. The rest is our own choice.
const (
	positionShare = 0.7  // of the deviations of colours rendered alike, and of noise, before they are scaled
	hueSize       = 5.0  // standard deviation in Lab of what hues far from one another share
	hueLength     = 70.0 // distance in Lab over which they do
	saturationSD  = 0.4  // of each entry of the linear map that a camera lays over a* and b*, before it is scaled
	scaleFreedom  = 14.0 // degrees of freedom of the scale's square
	scaleSquare   = 0.4  // its harmonic mean
	scaleFrom     = 0.05 // what squares of the scale are summed over, evenly in logarithms
	scaleTo       = 20.0
	scaleSteps    = 25
)

// A positionTest holds hypotheses about the light on each sample of a chart against the fit to them. Light on a sample changes its
// residuals by the Jacobian; the covariance of residuals is that of the model's prior, of colours rendered alike, of saturation, and of
// noise.
type positionTest struct {
	samples []Sample
	index   []int // of each among all that were given

	// Of logarithms of the light on each sample, channel by channel, as if nothing were known of them: their precision, each pair of
	// samples once, and the right side of the normal equations.
	precision [][][3][3]float64
	right     [][3]float64
	square    float64 // of all residuals, by the covariance: as many as there are, where the scale is 1

	inOne   [scaleSteps]float64 // natural logarithms of what each scale is worth, in one light
	overOne float64             // that of their sum
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
	byLight := make([][3][3]float64, n) // what lies in more light is recorded lighter than it is
	for i := range t.samples {
		s := &t.samples[i]
		lab, slopes := p.sensitivity(s.Camera, s.At)
		alike.at = append(alike.at, s.Want)
		for k := range slopes {
			for c, v := range slopes[k][atGain : atGain+3] {
				byLight[i][k][c] = -v
			}
		}
		for k, v := range [3]float64{s.Want.L - lab.L, s.Want.A - lab.A, s.Want.B - lab.B} {
			j.SetRow(3*i+k, slopes[k][:])
			left.SetVec(3*i+k, v)
		}
	}
	off := mat.NewVecDense(3*n, nil) // wanted less predicted at the prior mean, to first order
	off.MulVec(j, moved)
	off.AddVec(off, left)
	var factor mat.Cholesky
	if !factor.Factorize(t.covariance(j, &alike)) {
		return nil, false // cannot be, with noise on the diagonal, but for NaN
	}
	t.gather(factor.RawU(), off.RawVector().Data, byLight)
	return t, true
}

// gather takes residuals and their derivatives by the light on their own sample over the covariance, of which the upper factor is given.
func (t *positionTest) gather(upper mat.Triangular, off []float64, byLight [][3][3]float64) {
	n := len(byLight)
	factor := upper.(*mat.TriDense).RawTriangular()
	// Through the lower factor what belongs to a sample reaches it and those after it.
	through := func(column []float64, from int) {
		for r := from; r < 3*n; r++ {
			row := factor.Data[r*factor.Stride:][:3*n]
			v := column[r] / row[r]
			column[r] = v
			for k := r + 1; k < 3*n; k++ {
				column[k] -= v * row[k]
			}
		}
	}
	through(off, 0)
	t.square = floats.Dot(off, off)
	for k := range t.inOne {
		s := squareAt(k)
		t.inOne[k] = -(float64(3*n)+scaleFreedom)/2*math.Log(s) - (t.square+scaleFreedom*scaleSquare)/(2*s)
	}
	t.overOne = floats.LogSumExp(t.inOne[:])
	columns := make([][3][]float64, n)
	t.precision, t.right = make([][][3][3]float64, n), make([][3]float64, n)
	for i := range columns {
		for c := range 3 {
			column := make([]float64, 3*n)
			for k := range 3 {
				column[3*i+k] = byLight[i][k][c]
			}
			through(column, 3*i)
			columns[i][c] = column
			for r := 3 * i; r < 3*n; r++ {
				t.right[i][c] += column[r] * off[r]
			}
		}
		t.precision[i] = make([][3][3]float64, i+1)
		for k := range t.precision[i] {
			for a, mine := range columns[i] {
				for b, other := range columns[k] {
					sum := 0.0
					for r := 3 * i; r < 3*n; r++ {
						sum += mine[r] * other[r]
					}
					t.precision[i][k][a][b] = sum
				}
			}
		}
	}
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
				a, b := alike.at[i/3], alike.at[k/3]
				dl, da, db := a.L-b.L, a.A-b.A, a.B-b.B
				v += positionShare * positionShare * residualCovariance(a, b)
				v += hueSize * hueSize * math.Exp(-(dl*dl+da*da+db*db)/(2*hueLength*hueLength))
				if i%3 > 0 {
					v += saturationSD * saturationSD * (a.A*b.A + a.B*b.B)
				}
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

// hold returns the natural logarithm of the Bayes factor of a hypothesis over one light, and the mean of its unknowns.
func (t *positionTest) hold(h *lightHypothesis) (better float64, values []float64) {
	upper, right := t.under(h)
	normal := mat.NewSymDense(h.columns, nil)
	for a := range h.columns {
		for b := a; b < h.columns; b++ {
			normal.SetSym(a, b, upper[a][b])
		}
	}
	return t.overScales(h.prior(), normal, right)
}

// prior is the covariance of a hypothesis' unknowns before anything is seen.
func (h *lightHypothesis) prior() *mat.SymDense {
	prior := mat.NewSymDense(h.columns, nil)
	for a := range h.columns {
		for b := a; b < h.columns; b++ {
			if a/3 == b/3 {
				prior.SetSym(a, b, h.sd*h.sd)
			}
		}
		prior.SetSym(a, a, h.sd*h.sd+h.hueSD*h.hueSD)
	}
	return prior
}

// overScales sums over the scale of residuals. In the coordinates in which the prior and the normal matrix are both diagonal,
// prior = L·Lᵀ and Lᵀ·normal·L = U·diag(m)·Uᵀ, each scale costs no more than a sum.
func (t *positionTest) overScales(prior, normal *mat.SymDense, right *mat.VecDense) (better float64, values []float64) {
	n := right.Len()
	var factor mat.Cholesky
	var lower mat.TriDense
	if !factor.Factorize(prior) {
		return math.Inf(-1), nil
	}
	factor.LTo(&lower)
	var rotated mat.Dense
	rotated.Product(lower.T(), normal, &lower)
	symmetric := mat.NewSymDense(n, nil)
	for a := range n {
		for b := a; b < n; b++ {
			symmetric.SetSym(a, b, (rotated.At(a, b)+rotated.At(b, a))/2)
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(symmetric, true) {
		return math.Inf(-1), nil
	}
	var vectors, back mat.Dense
	eigen.VectorsTo(&vectors)
	back.Mul(&lower, &vectors)
	m, u := eigen.Values(nil), mat.NewVecDense(n, nil)
	u.MulVec(back.T(), right)

	other := t.inOne // the same by the hypothesis
	for k := range other {
		s := squareAt(k)
		for i, m := range m {
			other[k] += u.AtVec(i)*u.AtVec(i)/(s*s)/(1+m/s)/2 - math.Log1p(m/s)/2
		}
	}
	all, mean := floats.LogSumExp(other[:]), mat.NewVecDense(n, nil)
	for k, log := range other {
		for i, m := range m {
			mean.SetVec(i, mean.AtVec(i)+math.Exp(log-all)*u.AtVec(i)/(squareAt(k)+m))
		}
	}
	x := mat.NewVecDense(n, nil)
	x.MulVec(&back, mean)
	return all - t.overOne, x.RawVector().Data
}

// inStep is the first result of hold for a hypothesis of three unknowns, of which there are many: prior⁻¹ + normal/scale is inverted as it
// stands.
func (t *positionTest) inStep(h *lightHypothesis) (better float64) {
	normal, right := t.under(h)
	var prior [3][3]float64
	for a := range 3 {
		for b := range 3 {
			prior[a][b] = h.sd * h.sd
		}
		prior[a][a] += h.hueSD * h.hueSD
	}
	inverse, volume := stat.Inverse3(&prior)
	other := t.inOne
	for k := range other {
		s := squareAt(k)
		var sum [3][3]float64
		for a := range sum {
			for b := range sum {
				sum[a][b] = inverse[a][b] + normal[min(a, b)][max(a, b)]/s
			}
		}
		spread, det := stat.Inverse3(&sum)
		for a, row := range spread {
			for b, v := range row {
				other[k] += right.AtVec(a) * v * right.AtVec(b) / (2 * s * s)
			}
		}
		other[k] -= math.Log(det*volume) / 2
	}
	return floats.LogSumExp(other[:]) - t.overOne
}

// squareAt is the k-th of the squares of the scale that are summed over.
func squareAt(k int) float64 { return squares[k] }

var squares = func() (all [scaleSteps]float64) {
	for k := range all {
		all[k] = scaleFrom * math.Pow(scaleTo/scaleFrom, float64(k)/(scaleSteps-1))
	}
	return all
}()

// under are the normal equations of a hypothesis's unknowns.
func (t *positionTest) under(h *lightHypothesis) (normal [mostUnknowns][mostUnknowns]float64, right *mat.VecDense) {
	right = mat.NewVecDense(h.columns, nil)
	shares := make([][mostUnknowns / 3]float64, len(t.samples)) // of the unknowns of a channel in the light on each sample
	for i := range shares {
		for axis := range h.columns / 3 {
			shares[i][axis] = h.at(t.index[i], t.samples[i].At, 3*axis)
			for c, v := range t.right[i] {
				right.SetVec(3*axis+c, right.AtVec(3*axis+c)+shares[i][axis]*v)
			}
		}
	}
	add := func(share float64, first, second int, precision *[3][3]float64, turned bool) {
		for a := range 3 {
			for b := range 3 {
				v := precision[a][b]
				if turned {
					v = precision[b][a]
				}
				normal[3*first+a][3*second+b] += share * v
			}
		}
	}
	none := [mostUnknowns / 3]float64{}
	for i := range shares {
		if shares[i] == none {
			continue
		}
		for k := range t.precision[i] {
			if shares[k] == none {
				continue
			}
			for first := range h.columns / 3 {
				for second := first; second < h.columns/3; second++ {
					add(shares[i][first]*shares[k][second], first, second, &t.precision[i][k], false)
					if k < i {
						add(shares[k][first]*shares[i][second], first, second, &t.precision[i][k], true)
					}
				}
			}
		}
	}
	return normal, right
}
