package camera

import (
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// wholeFit is the fit to all samples of a chart, from whose normal equations those without one of them follow by a subtraction.
type wholeFit struct {
	*fitProblem
	start []float64
	normalEquations
}

// normalEquations are a cost and what [lm.Problem] has of it.
type normalEquations struct {
	cost      float64
	gradient  []float64
	curvature *mat.SymDense
}

func (f *fitProblem) normalAt(x []float64) normalEquations {
	e := normalEquations{f.Cost(x), make([]float64, nCamera), mat.NewSymDense(nCamera, nil)}
	f.Normal(x, e.gradient, e.curvature)
	return e
}

// beginWithout readies fits without one sample each, which start at the fit to all.
func beginWithout(prior *cameraPrior, samples []Sample, start *cameraParams) *wholeFit {
	f := newFitProblem(prior, samples)
	return &wholeFit{f, start[:], f.normalAt(start[:])}
}

// A fitWithout is the fit to all samples but one. What it is asked for first is known.
type fitWithout struct {
	fitProblem
	first normalEquations
	begun bool
}

func (w *wholeFit) without(i int) *fitWithout {
	f := &fitWithout{fitProblem: *w.fitProblem}
	f.samples = append(append(make([]fitSample, 0, len(w.samples)), w.samples[:i]...), w.samples[i+1:]...)
	alone := fitProblem{samples: []fitSample{w.samples[i]}, mean: cameraParams(w.start), precision: mat.NewSymDense(nCamera, nil)}
	f.first = alone.normalAt(w.start)
	f.first.cost = w.cost - f.first.cost
	subtract(f.first.gradient, w.gradient)
	subtract(f.first.curvature.RawSymmetric().Data, w.curvature.RawSymmetric().Data)
	return f
}

// subtract puts what is left of a whole in place of a part of it.
func subtract(part, whole []float64) {
	floats.Scale(-1, part)
	floats.Add(part, whole)
}

// Cost is that of [lm.Problem].
func (f *fitWithout) Cost(x []float64) float64 {
	if !f.begun {
		return f.first.cost
	}
	return f.fitProblem.Cost(x)
}

// Normal is that of [lm.Problem].
func (f *fitWithout) Normal(x, gradient []float64, curvature *mat.SymDense) {
	if f.begun {
		f.fitProblem.Normal(x, gradient, curvature)
		return
	}
	f.begun = true
	copy(gradient, f.first.gradient)
	curvature.CopySym(f.first.curvature)
}
