package camera

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"huewright/colour"
	"huewright/internal/parallel"
	"huewright/internal/stat"
)

// A Report tells how well a correction fits, and how well it predicts. The fit flatters:
// a chart has 24 patches and the model many parameters. What counts is the error of each
// patch when it took no part in the fit.
type Report struct {
	MeanDeltaE float64 // ΔE00 of the fitted samples; 0 without any

	// Leave-one-out errors in ΔE00; all 0 with fewer than 13 samples to fit. Samples in doubt
	// count in them, so that leaving a bad one out does not flatter.
	LOOMean, LOOP95 float64
	LOONearWood     float64 // mean over the patches for which NearWood holds

	Patches []PatchFit // one for each sample, in their order
}

// A PatchFit is one sample beside what the correction makes of it.
type PatchFit struct {
	Name      string
	Want, Got colour.Lab
	DeltaE    float64
	LeftOut   float64 // ΔE00 when predicted from all others; NaN when it was not
	Used      bool
	Why       string // it was not used
}

// leastForLeaveOneOut is how many samples it takes for leaving one out to tell anything: the
// others must still be fitted as a chart.
const leastForLeaveOneOut = leastForResiduals + 1

// Fit finds the correction that takes the samples to what they should be: one fit for
// a chart, a few neutrals, a single grey card, or nothing at all, as the priors hold
// whatever the samples leave open. A sample that is not finite is an error.
func Fit(samples []Sample) (*Correction, Report, error) {
	var used, doubted []Sample
	for _, s := range samples {
		if sum := s.Camera.R + s.Camera.G + s.Camera.B; !s.Want.IsFinite() || math.IsNaN(sum) || math.IsInf(sum, 0) {
			return nil, Report{}, fmt.Errorf("sample %q is not a finite colour", s.Name)
		}
		switch {
		case s.Skip != "":
		case s.Doubt != "":
			doubted = append(doubted, s)
		default:
			used = append(used, s)
		}
	}
	c := fitSamples(used, &sRGBAtItsWord)
	report := Report{}
	if len(used) >= leastForLeaveOneOut {
		c.leftOut = leaveOneOut(used, &c.params)
		for i := range doubted {
			c.leftOut = append(c.leftOut, leftOutError{doubted[i].Want, colour.DeltaE2000(doubted[i].Want, c.onChart(&doubted[i]))})
		}
		c.quick = c.tabulate()
	}
	report.fill(c, samples)
	return c, report, nil
}

// FitError is the mean ΔE00 that the model keeps over the samples after a fit to them:
// quicker than FitCamera, and enough to tell a chart from what is none. Samples in doubt count. It is 0 without
// samples that may be used.
func FitError(samples []Sample) float64 {
	var used []Sample
	for _, s := range samples {
		if s.Skip == "" {
			used = append(used, s)
		}
	}
	p := (*cameraParams)(newCameraProblem(used).solve(&sRGBAtItsWord).X)
	sum := 0.0
	for _, s := range used {
		sum += colour.DeltaE2000(s.Want, p.xyz(s.Camera, s.At).Lab())
	}
	return sum / float64(max(len(used), 1))
}

func fitSamples(used []Sample, start *cameraParams) *Correction {
	c := &Correction{params: sRGBAtItsWord, known: len(used), samples: used}
	if len(used) == 0 {
		c.posterior = nothingPrior.covariance()
		return c
	}
	fit := newCameraProblem(used).solve(start)
	copy(c.params[:], fit.X)
	c.residuals = residualsOf(&c.params, used)
	c.posterior = mat.NewSymDense(nCamera, nil)
	var factor mat.Cholesky
	if factor.Factorize(fit.Curvature) { // always: each prior adds to the diagonal
		_ = factor.InverseTo(c.posterior)
	}
	return c
}

// leaveOneOut predicts every sample from all the others. Each fit starts from the fit to
// all, which is only a faster way to the same minimum; nothing else of the sample is used.
func leaveOneOut(samples []Sample, start *cameraParams) []leftOutError {
	left := make([]leftOutError, len(samples))
	_ = parallel.For(context.Background(), len(samples), func(i int) {
		others := append(append([]Sample(nil), samples[:i]...), samples[i+1:]...)
		s := &samples[i]
		c := fitSamples(others, start)
		left[i] = leftOutError{s.Want, colour.DeltaE2000(s.Want, c.onChart(s))}
	})
	return left
}

// onChart is what the correction makes of a sample in the light of its own place.
func (c *Correction) onChart(s *Sample) colour.Lab {
	return c.residuals.correct(c.params.xyz(s.Camera, s.At).Lab())
}

func (r *Report) fill(c *Correction, samples []Sample) {
	used := 0
	var leftOut []float64
	near := 0
	for i := range samples {
		s := &samples[i]
		got := c.onChart(s)
		p := PatchFit{Name: s.Name, Want: s.Want, Got: got, DeltaE: colour.DeltaE2000(s.Want, got), LeftOut: math.NaN(), Used: s.Skip == "" && s.Doubt == "", Why: s.Skip}
		switch {
		case p.Used:
			r.MeanDeltaE += p.DeltaE
			if len(c.leftOut) > 0 {
				p.LeftOut = c.leftOut[used].deltaE
			}
			used++
		case s.Skip == "":
			p.Why = s.Doubt
			if len(c.leftOut) > 0 {
				p.LeftOut = p.DeltaE // it took no part
			}
		}
		if !math.IsNaN(p.LeftOut) {
			leftOut = append(leftOut, p.LeftOut)
			r.LOOMean += p.LeftOut
			if NearWood(s.Want) {
				r.LOONearWood += p.LeftOut
				near++
			}
		}
		r.Patches = append(r.Patches, p)
	}
	r.MeanDeltaE /= float64(max(used, 1))
	r.LOOMean /= float64(max(len(leftOut), 1))
	r.LOONearWood /= float64(max(near, 1))
	if len(leftOut) > 0 {
		r.LOOP95 = stat.Quantile(leftOut, 0.95)
	}
}
