package camera

import (
	"context"
	"slices"

	"huewright/colour"
	"huewright/colour/sensor"
	"huewright/internal/fault"
	"huewright/internal/lm"
	"huewright/internal/parallel"
)

// leastForLeaveOneOut is how many samples it takes for leaving one out to tell anything: the
// others must still be fitted as a chart.
const leastForLeaveOneOut = leastOfChart + 1

// Fit is [FitAs] of a picture that a camera rendered.
func Fit(samples []Sample) (*Correction, Report, error) { return FitAs(sensor.Rendered, samples) }

// FitAs finds the correction that takes the samples to what they should be: one fit for
// a chart, a few neutrals, a single grey card, or nothing at all, as the priors hold
// whatever the samples leave open. A sample that is not finite is an error.
//
// The light is that of a raw photo, whose samples were read by its file's matrices and balanced for the white it shows; of any other it
// is [sensor.Rendered].
func FitAs(light sensor.Light, samples []Sample) (*Correction, Report, error) {
	var used, doubted []Sample
	for _, s := range withDefaults(light, samples) {
		if !s.Want.IsFinite() || !isFinite(s.Camera) {
			return nil, Report{}, fault.New(fault.Photo, "colour.no-number", "name", s.Name)
		}
		switch {
		case !s.Skip.Empty():
		case !s.Doubt.Empty():
			doubted = append(doubted, s)
		default:
			used = append(used, s)
		}
	}
	c := fitSamples(light, used, &identity)
	if len(used) >= leastForLeaveOneOut {
		c.leftOut = leaveOneOut(light, used, &c.params)
		for i := range doubted {
			c.leftOut = append(c.leftOut, c.errorAt(&doubted[i]))
		}
		c.table = newTable(&c.params, &c.residuals)
	}
	return c, newReport(c, samples), nil
}

func fitSamples(light sensor.Light, used []Sample, start *cameraParams) *Correction {
	if len(used) == 0 {
		return &Correction{light: light, params: identity, posterior: priorOf(light).nothing.covariance()}
	}
	c, fit := mostProbable(light, used, start)
	c.posterior = inverseOf(fit.Curvature)
	return c
}

// mostProbable is the fit to samples, of which there is one or more, without its posterior.
func mostProbable(light sensor.Light, used []Sample, start *cameraParams) (*Correction, lm.Result) {
	fit := solve(light, used, start)
	return correctionOf(light, (*cameraParams)(fit.X), used), fit
}

// correctionOf is the correction by parameters that were fitted to samples, without its posterior.
func correctionOf(light sensor.Light, p *cameraParams, used []Sample) *Correction {
	return &Correction{light: light, params: *p, known: len(used), samples: used, residuals: residualsOf(p, used)}
}

// leaveOneOut predicts every sample from all the others. Each fit starts from the fit to
// all, which is only a faster way to the same minimum; nothing else of the sample is used.
func leaveOneOut(light sensor.Light, samples []Sample, start *cameraParams) []leftOutError {
	left := make([]leftOutError, len(samples))
	whole := beginWithout(priorOf(light).of(len(samples)-1), samples, start)
	_ = parallel.For(context.Background(), len(samples), func(i int) {
		others := slices.Concat(samples[:i], samples[i+1:])
		fit := lm.Minimise(context.Background(), whole.without(i), start[:], leftOutFit)
		left[i] = correctionOf(light, (*cameraParams)(fit.X), others).errorAt(&samples[i])
	})
	return left
}

// FitError is the mean ΔE00 that the model keeps over the samples after a fit to them: quicker than
// [Fit], and enough to tell a chart from what is none. Samples in doubt count. It is 0 without
// samples that may be used.
func FitError(samples []Sample) float64 {
	used := notSkipped(samples)
	sum := 0.0
	for _, misfit := range Misfits(used) {
		sum += misfit
	}
	return sum / float64(max(len(used), 1))
}

// Misfits fits the model to the samples that may be used, as [FitError] does, and returns for
// every sample, also those to be skipped, how far in ΔE00 it lies from the prediction.
func Misfits(samples []Sample) []float64 {
	used := notSkipped(samples)
	prior := priorOf(sensor.Rendered).of(len(used))
	p := (*cameraParams)(lm.Minimise(context.Background(), newFitProblem(prior, used), identity[:], misfitFit).X)
	misfits := make([]float64, len(samples))
	for i, s := range samples {
		misfits[i] = colour.DeltaE2000(s.Want, p.xyz(s.Camera, s.At).Lab())
	}
	return misfits
}
