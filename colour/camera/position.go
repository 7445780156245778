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
	index   []int // of each among all that were given

	// Of logarithms of the light on each sample, channel by channel, as if nothing were known of them: their precision, each pair of samples
	// once, and what it takes to find the most probable ones.
	precision [][][3][3]float64
	right     [][3]float64
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
		alike.at = append(alike.at, lab)
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

// hold returns the natural logarithm of the Bayes factor of a hypothesis over one light, and the most probable values of its unknowns.
func (t *positionTest) hold(h *lightHypothesis) (better float64, values []float64) {
	prior := mat.NewSymDense(h.columns, nil)
	for a := range h.columns {
		for b := a; b < h.columns; b++ {
			if a/3 == b/3 {
				prior.SetSym(a, b, h.sd*h.sd)
			}
		}
		prior.SetSym(a, a, h.sd*h.sd+h.hueSD*h.hueSD)
	}
	normal, right := t.under(h)
	precision := inverseOf(prior)
	posterior := mat.NewSymDense(h.columns, nil)
	for a := range h.columns {
		for b := a; b < h.columns; b++ {
			posterior.SetSym(a, b, normal[a][b]+precision.At(a, b))
		}
	}
	var after, before mat.Cholesky
	x := mat.NewVecDense(h.columns, nil)
	if !after.Factorize(posterior) || !before.Factorize(precision) || after.SolveVecTo(x, right) != nil {
		return math.Inf(-1), nil
	}
	return (mat.Dot(right, x) - after.LogDet() + before.LogDet()) / 2, x.RawVector().Data
}

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
		if share == 0 {
			return
		}
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
	for i := range shares {
		for k := range t.precision[i] {
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
