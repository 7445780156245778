package chart

import (
	"math"
	"slices"

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
)

// fitClean fits the correction to a chart, leaves out the patch that the others predict worst, if it is far off,
// and fits again. The chart's warnings list what was left out.
func (c *Chart) fitClean() (*camera.Correction, camera.Report, error) {
	correction, report, err := camera.Fit(c.Samples)
	for range mostPatchesOff {
		if err != nil {
			return nil, report, err
		}
		i, off := worstPatch(report)
		if i < 0 {
			break
		}
		s := &c.Samples[i]
		s.Doubt = fault.Say("patch.off", "delta", off)
		c.leaveOut(s.Name, s.Doubt)
		correction, report, err = camera.Fit(c.Samples)
	}
	return correction, report, err
}

// worstPatch is the patch that the others predict worst, if it is far off; otherwise −1.
func worstPatch(r camera.Report) (worst int, off float64) {
	var all []float64
	worst = -1
	for i, p := range r.Patches {
		if math.IsNaN(p.LeftOut) {
			continue
		}
		all = append(all, p.LeftOut)
		if p.Used && p.LeftOut > off {
			worst, off = i, p.LeftOut
		}
	}
	if len(all) == 0 || off < max(mostPatchOff, mostOffTimes*stat.Quantile(all, 0.5)) {
		return -1, 0
	}
	return worst, off
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
