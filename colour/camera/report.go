package camera

import (
	"math"

	"huewright/colour"
	"huewright/internal/fault"
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
	Why       fault.Note // it was not used
}

func newReport(c *Correction, samples []Sample) (r Report) {
	used, near := 0, 0
	var leftOut []float64
	for i := range samples {
		s := &samples[i]
		p := c.patchFit(s, used)
		if p.Used {
			r.MeanDeltaE += p.DeltaE
			used++
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
	return r
}

// patchFit judges one sample; number is its place among those that were used.
func (c *Correction) patchFit(s *Sample, number int) PatchFit {
	got := c.onChart(s)
	p := PatchFit{
		Name: s.Name, Want: s.Want, Got: got, DeltaE: colour.DeltaE2000(s.Want, got), LeftOut: math.NaN(),
		Used: s.Skip.Empty() && s.Doubt.Empty(), Why: s.Skip,
	}
	if s.Skip.Empty() {
		p.Why = s.Doubt
		switch {
		case len(c.leftOut) == 0:
		case p.Used:
			p.LeftOut = c.leftOut[number].deltaE
		default:
			p.LeftOut = p.DeltaE // it took no part in the fit
		}
	}
	return p
}
