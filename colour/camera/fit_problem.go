package camera

import (
	"context"

	"gonum.org/v1/gonum/mat"

	"huewright/colour/sensor"
	"huewright/internal/lm"
)

// fitProblem is the maximum a posteriori fit of the camera model as least squares: three
// residuals a sample, one a parameter that holds it to its prior, and one a row of B for its
// sum.
type fitProblem struct {
	samples []Sample
	weights []float64    // of the samples
	prior   cameraParams // standard deviations, tone bends apart
	tones   [nBend]float64
	white   [nBend][nBend]float64 // of the tone bends
}

// fitSteps is more than plausible samples take. A chart read the wrong way round would go on
// bending the model for long, to no end.
const fitSteps = 25

// solve fits the model to the samples from the given start.
func solve(light sensor.Light, samples []Sample, start *cameraParams) lm.Result {
	return solveUnder(priorOf(light).of(len(samples)), samples, start)
}

// solveUnder is solve under a given prior.
func solveUnder(prior *cameraPrior, samples []Sample, start *cameraParams) lm.Result {
	p := fitProblem{samples, make([]float64, len(samples)), prior.deviations(), prior.tones.mean, prior.tones.whitening()}
	for i := range samples {
		p.weights[i] = samples[i].weight()
	}
	problem := lm.Residuals(3*len(samples)+nCamera+3, nCamera, p.evaluate)
	return lm.Minimise(context.Background(), problem, start[:], lm.Options{Steps: fitSteps})
}

func (f fitProblem) evaluate(params, r []float64, j *mat.Dense) {
	p, w := (*cameraParams)(params), newRows(r, j)
	for i := range f.samples {
		s := &f.samples[i]
		w.sample(p, s, [3]float64{s.Want.L, s.Want.A, s.Want.B}, f.weights[i], 0, -1)
	}
	for k := range p {
		if k < atBend || k >= atField {
			w.add((p[k] - identity[k]) / f.prior[k])
			w.slope(k, 1/f.prior[k])
		}
	}
	w.tones(p[atBend:atField], &f.tones, &f.white, atBend)
	for i := range 3 {
		sum := 0.0
		for k := atMatrix + i*nTerms; k < atMatrix+(i+1)*nTerms; k++ {
			sum += (p[k] - identity[k]) / greySD
		}
		w.add(sum)
		for k := atMatrix + i*nTerms; k < atMatrix+(i+1)*nTerms; k++ {
			w.slope(k, 1/greySD)
		}
	}
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
