package chart

import (
	"math"
	"slices"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/internal/fault"
	"huewright/internal/stat"
)

// How bad a patch must be to be left out, and how few may be left. Our own choice, from photos of charts by
// phones: the worst patch of a clean chart is 9 ΔE00 off when predicted from the others.
const (
	mostPatchOff   = 12.0 // ΔE00
	mostOffTimes   = 4.0  // the same, times the median of all patches
	mostPatchesOff = 3    // that may be left out for it: more, and it is the fit that is wrong
	leastGreys     = 3
	firstGrey      = 18 // of the patches: the last row
	// leastPatches is how many must be usable: with fewer nothing can be left out to tell how well the fit
	// predicts, and a wrong order comes close to the right one.
	leastPatches = 13
	// likeGlare is the share of mostPatchOff and mostOffTimes that is enough for a patch that looks lighter than it is, and either is uneven
	// or lies beside one that glares: a lamp's reflection rarely ends with a patch.
	likeGlare = 0.6
	// otherLight is how much lighter or darker than it is a patch must look, in L*, to be called in glare or in shadow.
	otherLight = 2.0
)

// fitClean fits the correction to a chart, leaves out the patch that the others predict worst, if it is far off,
// and fits again. The chart's warnings list what was left out, and why.
func (c *Chart) fitClean() (*camera.Correction, camera.Report, error) {
	correction, report, err := camera.FitAs(c.light, c.Samples)
	for range mostPatchesOff {
		if err != nil {
			return nil, report, err
		}
		i, off := c.worstPatch(report)
		if i < 0 {
			break
		}
		c.Samples[i].Doubt = fault.Say("patch.off", "delta", off)
		correction, report, err = camera.FitAs(c.light, c.Samples)
	}
	if err == nil {
		c.sayLeftOut(report)
	}
	return correction, report, err
}

// sayLeftOut warns of each patch that the fit does without, and says in the report what spoils it, by what the fit makes of it.
func (c *Chart) sayLeftOut(r camera.Report) {
	lightest := 0.0 // L* of the patches that are not burnt out
	for _, s := range c.Samples {
		if s.Skip.Empty() {
			lightest = max(lightest, s.Want.L)
		}
	}
	for i := range c.Samples {
		s, p := &c.Samples[i], &r.Patches[i]
		if p.Used {
			continue
		}
		switch lighter := p.Got.L - p.Want.L; {
		case !s.Skip.Empty():
			if p.Want.L < lightest {
				p.Why = fault.Say("patch.glare")
			}
		case !paler(p.Got, p.Want):
		case lighter > otherLight:
			p.Why = fault.Say("patch.glare")
		case lighter < -otherLight:
			p.Why = fault.Say("patch.shadow")
		}
		c.leaveOut(s.Name, p.Why)
	}
}

// paler reports whether a colour is no stronger than another, as one that white light is added to, or that lies in shadow.
func paler(got, want colour.Lab) bool {
	const usual = 3 // of chroma, by which greys are off in good light
	return math.Hypot(got.A, got.B) < math.Hypot(want.A, want.B)+usual
}

// worstPatch is the patch that the others predict worst, if it is far off; otherwise −1.
func (c *Chart) worstPatch(r camera.Report) (worst int, off float64) {
	var all []float64
	for _, p := range r.Patches {
		if !math.IsNaN(p.LeftOut) {
			all = append(all, p.LeftOut)
		}
	}
	if len(all) == 0 {
		return -1, 0
	}
	usual := stat.Quantile(all, 0.5)
	worst, most := -1, 1.0
	for i, p := range r.Patches {
		least := max(mostPatchOff, mostOffTimes*usual)
		if c.mayGlare(i, r) {
			least *= likeGlare
		}
		if p.Used && p.LeftOut/least > most { // NaN is not
			worst, most, off = i, p.LeftOut/least, p.LeftOut
		}
	}
	return worst, off
}

// mayGlare reports whether a patch looks lighter than it is, and is uneven or lies beside one that was left out for glare.
func (c *Chart) mayGlare(patch int, r camera.Report) bool {
	glares := func(i int) bool { return r.Patches[i].Got.L > r.Patches[i].Want.L+otherLight/2 }
	if !glares(patch) || c.change[patch] > perhapsGlare {
		return glares(patch)
	}
	for i := range c.Samples {
		across, down := i%chartColumns-patch%chartColumns, i/chartColumns-patch/chartColumns
		if max(across, -across, down, -down) == 1 && !r.Patches[i].Used && glares(i) {
			return true
		}
	}
	return false
}

func (c *Chart) doubted() bool {
	return slices.ContainsFunc(c.Samples, func(s camera.Sample) bool { return !s.Doubt.Empty() })
}

// enough returns an error when too few patches are left to fit a camera by.
func (c *Chart) enough(path string) error {
	left, greys := 0, 0
	var out []string
	for i, s := range c.Samples {
		if !s.Skip.Empty() || !s.Doubt.Empty() {
			out = append(out, s.Name)
			continue
		}
		left++
		if i >= firstGrey {
			greys++
		}
	}
	switch in := (fault.Place{File: path}); {
	case left < leastPatches:
		return fault.In(fault.New(fault.Photo, "chart.few-patches", "have", left, "need", leastPatches, "out", out), in)
	case greys < leastGreys:
		return fault.In(fault.New(fault.Photo, "chart.few-greys", "have", greys, "need", leastGreys, "out", out), in)
	}
	return nil
}

// usable counts the patches that are not near-clipped.
func (c *Chart) usable() (n int) {
	for _, s := range c.Samples {
		if s.Skip.Empty() {
			n++
		}
	}
	return n
}
