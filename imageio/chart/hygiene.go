package chart

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/internal/stat"
)

// How bad a patch must be to be left out, and how few may be left. Our own choice, from
// photographs of charts by phones: the middles of clean patches change by 0.02–0.08, and the
// worst patch of a clean chart is 9 ΔE00 off when predicted from the others.
const (
	mostPatchChange  = 0.25 // of luminance between ninths of a patch's middle
	darkPatch        = 0.02 // of luminance, added to both: in the dark noise is as large as what is seen
	mostPatchOff     = 12.0 // ΔE00
	mostOffTimes     = 4.0  // the same, times the median of all patches
	mostPatchesOff   = 3    // that may be left out for it: more, and it is the fit that is wrong
	leastChartGreys  = 3
	firstGrey        = 18 // of the patches: the last row
	patchSectionSide = 3
)

// change is how much luminance differs between the ninths of a patch's middle, as a share.
// Specks and noise even out in a ninth; glare, a shadow's edge or a smear do not.
func (c *core) change() float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range c.sections {
		low, high = min(low, v), max(high, v)
	}
	return (high - low) / (high + darkPatch)
}

// section is which ninth of the middle a point of it belongs to.
func section(i int) int {
	return (i/coreSide*patchSectionSide/coreSide)*patchSectionSide + i%coreSide*patchSectionSide/coreSide
}

// fitClean fits the correction to a chart, leaves out what is unlike all others would have it,
// one patch at a time, and fits again. It lists in the chart's warnings what was left out.
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
		c.Warnings = append(c.Warnings, fmt.Sprintf("the chart's %s patch is left out: %s", s.Name, s.Doubt))
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

// enough is an error when too few patches are left to fit a camera by.
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
	const advice = "take the photo again with the whole chart clean, flat, out of glare and shadow, and with less exposure; or use a grey card or paper instead"
	switch {
	case left < leastPatches:
		return &imageio.PhotoError{Path: path, Problem: fmt.Sprintf("%d usable patches on the chart, need %d; left out: %s", left, leastPatches, strings.Join(out, ", ")), Advice: advice}
	case greys < leastChartGreys:
		return &imageio.PhotoError{Path: path, Problem: fmt.Sprintf("%d usable greys on the chart, need %d; left out: %s", greys, leastChartGreys, strings.Join(out, ", ")), Advice: advice}
	}
	return nil
}
