package camera

import (
	"context"

	"gonum.org/v1/gonum/mat"

	"huewright/colour"
	"huewright/colour/sensor"
	"huewright/internal/lm"
)

// fitProblem is the maximum a posteriori fit of the camera model as least squares: three
// residuals a sample, and the prior of the parameters, which is a quadratic form.
type fitProblem struct {
	samples   []fitSample
	mean      cameraParams // of the prior
	precision *mat.SymDense
}

// A fitSample is a sample with what does not depend on the parameters, and what is made of it under those that a cost was last asked for.
type fitSample struct {
	*Sample
	weight float64
	bends  [3][nBend]float64 // toneBasis of each channel

	y      [3]float64 // responses
	terms  [nTerms]float64
	byXYZ  [3][3]float64 // derivatives of L*, a*, b*
	misfit [3]float64    // weighted residuals
}

// fitSteps is more than plausible samples take. A chart read the wrong way round would go on
// bending the model for long, to no end.
const fitSteps = 25

// misfitFit is enough where misfits are told to a thousandth or so: a chart read the wrong way round gains so little for long. leftOutFit
// begins near the minimum, where a step by the normal equations alone leads best.
var (
	misfitFit  = lm.Options{Steps: fitSteps, GainShare: 1e-3}
	leftOutFit = lm.Options{Steps: fitSteps, Damping: 1e-6, GainShare: 1e-6, Foresee: true}
)

// solve fits the model to the samples from the given start.
func solve(light sensor.Light, samples []Sample, start *cameraParams) lm.Result {
	return solveUnder(priorOf(light).of(len(samples)), samples, start)
}

// solveUnder is solve under a given prior.
func solveUnder(prior *cameraPrior, samples []Sample, start *cameraParams) lm.Result {
	return lm.Minimise(context.Background(), newFitProblem(prior, samples), start[:], lm.Options{Steps: fitSteps})
}

func newFitProblem(prior *cameraPrior, samples []Sample) *fitProblem {
	f := &fitProblem{samples: make([]fitSample, len(samples)), mean: identity, precision: prior.precision()}
	copy(f.mean[atBend:atField], prior.tones.mean[:])
	for i := range samples {
		s := &f.samples[i]
		s.Sample, s.weight = &samples[i], samples[i].weight()
		for k, v := range channels(s.Camera) {
			s.bends[k], _ = toneBasis(max(v, leastLight))
		}
	}
	return f
}

// Cost is that of [lm.Problem].
func (f *fitProblem) Cost(x []float64) float64 {
	p := (*cameraParams)(x)
	sum := 0.0
	for i := range f.samples {
		s := &f.samples[i]
		for k, v := range channels(s.Camera) {
			s.y[k] = p.respond(k, v, &s.bends[k], s.At)
		}
		s.terms = terms(s.y[0], s.y[1], s.y[2])
		var lab colour.Lab
		lab, s.byXYZ = p.combine(s.terms).LabJacobian()
		s.misfit = [3]float64{s.weight * (lab.L - s.Want.L), s.weight * (lab.A - s.Want.A), s.weight * (lab.B - s.Want.B)}
		for _, r := range s.misfit {
			sum += r * r
		}
	}
	for i := range p {
		row := f.precision.RawSymmetric().Data[i*nCamera:][:nCamera]
		off := p[i] - f.mean[i]
		across := row[i] * off / 2
		for k := i + 1; k < nCamera; k++ {
			across += row[k] * (p[k] - f.mean[k])
		}
		sum += 2 * off * across
	}
	return sum / 2
}

// Normal is that of [lm.Problem].
//
// The Jacobian is never written down: its columns of B are products of the derivatives by X, Y and Z and of the six terms, so that most of
// its square are sums of products of so few.
func (f *fitProblem) Normal(x, gradient []float64, curvature *mat.SymDense) {
	p := (*cameraParams)(x)
	square := curvature.RawSymmetric().Data
	copy(square, f.precision.RawSymmetric().Data)
	for i := range p {
		gradient[i] = 0
		for k := range p {
			gradient[i] += f.precision.At(i, k) * (p[k] - f.mean[k])
		}
	}
	var pairs [3][3][nTerms][nTerms]float64 // of the rows of B and their columns
	for i := range f.samples {
		s := &f.samples[i]
		others := s.byOthers(p)
		weight := s.weight * s.weight
		var byXYZ, byMisfit [3]float64 // of one of the other parameters, or of B
		for a := range others {
			for row := range byXYZ {
				byXYZ[row] = weight * (others[a][0]*s.byXYZ[0][row] + others[a][1]*s.byXYZ[1][row] + others[a][2]*s.byXYZ[2][row])
			}
			to := square[a*nCamera:][:nCamera]
			for b := a; b < atMatrix; b++ {
				to[b] += weight * (others[a][0]*others[b][0] + others[a][1]*others[b][1] + others[a][2]*others[b][2])
			}
			for row, v := range byXYZ {
				for m, t := range s.terms {
					to[atMatrix+row*nTerms+m] += v * t
				}
			}
			gradient[a] += s.weight * (others[a][0]*s.misfit[0] + others[a][1]*s.misfit[1] + others[a][2]*s.misfit[2])
		}
		for row := range byMisfit {
			by := s.weight * (s.byXYZ[0][row]*s.misfit[0] + s.byXYZ[1][row]*s.misfit[1] + s.byXYZ[2][row]*s.misfit[2])
			for m, t := range s.terms {
				gradient[atMatrix+row*nTerms+m] += by * t
			}
			for other := row; other < 3; other++ {
				both := weight * (s.byXYZ[0][row]*s.byXYZ[0][other] + s.byXYZ[1][row]*s.byXYZ[1][other] + s.byXYZ[2][row]*s.byXYZ[2][other])
				sums := &pairs[row][other]
				for m, t := range s.terms {
					t *= both
					for n := m; n < nTerms; n++ {
						sums[m][n] += t * s.terms[n]
					}
				}
			}
		}
	}
	for row := range pairs {
		for other := row; other < 3; other++ {
			for m := range nTerms {
				to := square[(atMatrix+row*nTerms+m)*nCamera+atMatrix+other*nTerms:][:nTerms]
				for n := range to {
					to[n] += pairs[row][other][min(m, n)][max(m, n)]
				}
			}
		}
	}
}

// byOthers are the derivatives of L*, a*, b* by the parameters besides B.
func (s *fitSample) byOthers(p *cameraParams) (by [atMatrix][3]float64) {
	byLog := p.byLogs(&s.y, &s.terms, &s.byXYZ)
	for i := range 3 {
		all := 0.0
		for k, v := range byLog[i] {
			by[atGain+k][i] = v
			for m, bend := range s.bends[k] {
				by[atBend+m][i] += v * bend
			}
			all += v
		}
		by[atField][i], by[atField+1][i] = -all*s.At.X, -all*s.At.Y
	}
	return by
}

// inverseOf is the covariance of a precision matrix.
func inverseOf(precision *mat.SymDense) *mat.SymDense {
	covariance := mat.NewSymDense(precision.SymmetricDim(), nil)
	var factor mat.Cholesky
	if factor.Factorize(precision) { // always: each prior adds to the diagonal
		_ = factor.InverseTo(covariance)
	}
	return covariance
}
