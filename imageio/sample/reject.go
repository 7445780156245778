package sample

import (
	"context"
	"math"

	"huewright/colour"
	"huewright/imageio"
	"huewright/internal/parallel"
	"huewright/internal/stat"
)

// What is left out of a reading, in units of the grain's own range. All of these are our own
// choice, made on pictures of wood: tight enough for a lamp's reflection and an open joint,
// wide enough for pores and late wood.
const (
	glareFence  = 4.0  // half-widths above the median, of lightness and of paleness alike
	glareHeight = 6.0  // and at least this far above the median, in L*
	flashFence  = 8.0  // half-widths above the median, of lightness, however pale
	flashHeight = 25.0 // and at least this far above the median, in L*
	gapFence    = 5.0  // half-widths below the median, of lightness
	gapDepth    = 12.0 // and at least this far below the median, in L*
)

// verdict is what becomes of a pixel.
type verdict uint8

const (
	kept verdict = iota
	glare
	gap
)

// judge tells the wood from what hides it. A lamp's reflection adds its own, pale light, so a
// pixel is glare when it is both brighter and paler than the grain is. It is glare, too, when
// it is brighter by far, since on grey wood there is no paler; and when two channels are
// near-clipped, for then its colour cannot be told. A gap, crack or shadow between boards
// is darker than the grain is.
//
// The grain's range is measured, on what is not clipped, by its median and the distance from
// there to the quantile that one standard deviation reaches in a normal distribution, up and
// down by themselves, since grain is lopsided. Up to a sixth of the area may be glare, and
// another be gaps, without moving these.
func judge(ctx context.Context, set imageio.Pixels) ([]verdict, error) {
	lightness, paleness := make([]float64, len(set.Light)), make([]float64, len(set.Light))
	if err := parallel.Ranges(ctx, len(set.Light), 1<<13, func(from, to int) {
		for i := from; i < to; i++ {
			lightness[i], paleness[i] = lightnessOf(set.Light[i]), palenessOf(set.Light[i])
		}
	}); err != nil {
		return nil, err
	}
	clipped := func(i int) bool { return set.Near[i] >= 2 }
	unclipped := without(lightness, clipped)
	grain := rangeOf(unclipped)
	dark := grain.below(gapFence, gapDepth)
	bright, flash := grain.above(glareFence, glareHeight), grain.above(flashFence, flashHeight)
	pale := rangeOf(without(paleness, clipped)).above(glareFence, 0)

	verdicts := make([]verdict, len(set.Light))
	for i := range verdicts {
		switch {
		case clipped(i), lightness[i] > flash, lightness[i] > bright && paleness[i] > pale:
			verdicts[i] = glare
		case lightness[i] < dark:
			verdicts[i] = gap
		}
	}
	return verdicts, nil
}

// without leaves out the values at the indices that are to go. It returns them all, not
// copied, when none is.
func without(values []float64, goes func(i int) bool) []float64 {
	for i := range values {
		if !goes(i) {
			continue
		}
		out := append(make([]float64, 0, len(values)), values[:i]...)
		for j := i + 1; j < len(values); j++ {
			if !goes(j) {
				out = append(out, values[j])
			}
		}
		return out
	}
	return values
}

// A grainRange is the median of many values and how far from it one standard deviation reaches in a
// normal distribution, down and up by themselves.
type grainRange struct{ median, down, up float64 }

func rangeOf(values []float64) grainRange {
	if len(values) == 0 {
		return grainRange{}
	}
	const sd = 0.8413 // share of a normal distribution below mean + 1 sd
	q := stat.Quantiles(values, 1-sd, 0.5, sd)
	return grainRange{q[1], q[1] - q[0], q[2] - q[1]}
}

// below and above are so many half-widths from the median, or the given distance if that is further.
func (r grainRange) below(halves, least float64) float64 { return r.median - max(halves*r.down, least) }
func (r grainRange) above(halves, least float64) float64 { return r.median + max(halves*r.up, least) }

// lightnessOf is L* of the uncorrected light: equal steps of it look equal, in a photo that
// no reference has corrected too.
func lightnessOf(c colour.LinearRGB) float64 {
	y := c.Luminance()
	if y <= 216.0/24389 {
		return y * 24389 / 27
	}
	return 116*math.Cbrt(y) - 16
}

// palenessOf is the least channel's share of the greatest: 0 for a pure colour, 1 for grey.
// More or less light of the same colour leaves it as it is.
func palenessOf(c colour.LinearRGB) float64 {
	top := max(c.R, c.G, c.B)
	if top <= 0 {
		return 0
	}
	return max(min(c.R, c.G, c.B)/top, 0)
}
