package imageio

import (
	"context"
	"fmt"

	"huewright/colour"
)

// Patch is what a grey card or a slip of paper shows.
type Patch struct {
	Mean       colour.LinearRGB // as the camera recorded it; its darkest and lightest tenth left out
	Clipped    float64          // share of the pixels with a channel near-clipped, 0–1
	Unevenness float64          // how much luminance changes from end to end, as a share of its mean
	Pixels     int              // read, all of them
}

// Limits of a patch. Our own choice.
const (
	leastPatchPixels = 50
	mostClippedPatch = 0.02
	trimmedShare     = 0.10
)

// ReadPatch reads a surface of one plain colour. It refuses, as an *AreaError, one that is
// clipped: a reference whose own light is cut off would make everything else too bright. An
// outline that does not fit the photo is an *OutlineError.
func (p *Photo) ReadPatch(ctx context.Context, o Outline) (Patch, error) {
	if fault := o.on(p); fault != nil {
		return Patch{}, fault
	}
	spans := o.spans(p.Width, p.Height)
	n := countPixels(spans)
	if n < leastPatchPixels {
		return Patch{}, &AreaError{
			Path: p.Path, Problem: fmt.Sprintf("%s in the outline of the card or paper, need %d", pixels(n), leastPatchPixels),
			Advice: "outline more of it, or take the photo from nearer",
		}
	}
	set := p.gather(ctx, spans, latticeStep(n, defaultMaxPixels))
	patch := summarisePatch(set)
	if patch.Clipped > mostClippedPatch {
		return Patch{}, &AreaError{
			Path: p.Path, Problem: fmt.Sprintf("%.0f %% of the card or paper is burnt out", 100*patch.Clipped),
			Advice: "take the photo again with less exposure, so that the paper shows as light grey",
		}
	}
	return patch, nil
}

func summarisePatch(set pixelSet) Patch {
	luminances := make([]float64, len(set.light))
	clipped := 0
	for i, c := range set.light {
		luminances[i] = luminance(c)
		if set.near[i] > 0 {
			clipped++
		}
	}
	q := colour.Quantiles(luminances, trimmedShare, 1-trimmedShare)
	inner := set.keep(func(i int) bool { return luminances[i] >= q[0] && luminances[i] <= q[1] })
	if len(inner.light) == 0 {
		inner = set // one luminance throughout, missed by a rounding of its quantiles
	}
	return Patch{
		Mean:       meanLight(inner.light),
		Clipped:    float64(clipped) / float64(len(set.light)),
		Unevenness: unevenness(set.at, luminances),
		Pixels:     len(set.light),
	}
}

func meanLight(light []colour.LinearRGB) colour.LinearRGB {
	var sum colour.LinearRGB
	for _, c := range light {
		sum = colour.LinearRGB{R: sum.R + c.R, G: sum.G + c.G, B: sum.B + c.B}
	}
	n := float64(len(light))
	return colour.LinearRGB{R: sum.R / n, G: sum.G / n, B: sum.B / n}
}
