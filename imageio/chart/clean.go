package chart

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"huewright/colour/camera"
	"huewright/imageio"
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
		s.Doubt = fmt.Sprintf("ΔE00 %.0f from what the others let expect, as by dirt, glare or shadow", off)
		c.Warnings = append(c.Warnings, fault.Saying("the chart's %s patch is left out: %s", s.Name, s.Doubt))
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
	return slices.ContainsFunc(c.Samples, func(s camera.Sample) bool { return s.Doubt != "" })
}

// enough returns an error when too few patches are left to fit a camera by.
func (c *Chart) enough(path string) error {
	left, greys := 0, 0
	var out []string
	for i, s := range c.Samples {
		if s.Skip != "" || s.Doubt != "" {
			out = append(out, s.Name)
			continue
		}
		left++
		if i >= firstGrey {
			greys++
		}
	}
	what, n, need := "patches", left, leastPatches
	if left >= leastPatches {
		what, n, need = "greys", greys, leastGreys
	}
	if n >= need {
		return nil
	}
	return &imageio.PhotoError{
		Path: path, Problem: fmt.Sprintf("%d usable %s on the chart, need %d; left out: %s", n, what, need, strings.Join(out, ", ")),
		Advice: "take the photo again with the whole chart clean, flat, out of glare and shadow, and with less exposure; " +
			"or use a grey card or paper instead",
	}
}

// usable counts the patches that are not near-clipped.
func (c *Chart) usable() (n int) {
	for _, s := range c.Samples {
		if s.Skip == "" {
			n++
		}
	}
	return n
}
