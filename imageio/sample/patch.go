package sample

import (
	"context"

	"huewright/colour"
	"huewright/imageio"
	"huewright/internal/fault"
	"huewright/internal/stat"
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
	mostClippedPatch = 0.02 // of the pixels
)

// TrimmedShare of the pixels of a patch, the darkest and as many of the lightest, stay out of its mean. Our own choice.
const TrimmedShare = 0.10

// ReadPatch reads a surface of one plain colour. It refuses, as a fault of kind Photo, one that is
// clipped: a reference whose own light is cut off would make everything else too bright. An
// outline that does not fit the photo is a fault of kind Use.
func ReadPatch(ctx context.Context, p *imageio.Photo, o imageio.Outline) (Patch, error) {
	if err := o.CheckOn(p); err != nil {
		return Patch{}, err
	}
	in := Options{}.in
	spans := o.Spans(p.Width, p.Height)
	n := imageio.CountPixels(spans)
	if n < leastPatchPixels {
		return Patch{}, in(p, fault.New(fault.Photo, "area.small-card", "have", n, "need", leastPatchPixels))
	}
	set, err := p.Gather(ctx, spans, defaultMaxPixels)
	if err != nil {
		return Patch{}, err
	}
	patch := summarisePatch(set)
	if patch.Clipped > mostClippedPatch {
		return Patch{}, in(p, fault.New(fault.Photo, "area.burnt-card", "share", patch.Clipped))
	}
	return patch, nil
}

func summarisePatch(set imageio.Pixels) Patch {
	_, mean := Trimmed(set)
	luminances := luminancesOf(set)
	return Patch{
		Mean: mean, Clipped: ClippedShare(set), Unevenness: unevenness(set.At, luminances), Pixels: len(set.Light),
	}
}

// Trimmed are the pixels of a patch without the darkest and lightest of them, and their mean light.
func Trimmed(set imageio.Pixels) (imageio.Pixels, colour.LinearRGB) {
	luminances := luminancesOf(set)
	q := stat.Quantiles(luminances, TrimmedShare, 1-TrimmedShare)
	inner := set.Keep(func(i int) bool { return luminances[i] >= q[0] && luminances[i] <= q[1] })
	if len(inner.Light) == 0 {
		inner = set // one luminance throughout, missed by a rounding of its quantiles
	}
	return inner, meanLight(inner.Light)
}

// ClippedShare is the share of pixels with a channel near-clipped, 0–1.
func ClippedShare(set imageio.Pixels) float64 {
	clipped := 0
	for _, near := range set.Near {
		if near > 0 {
			clipped++
		}
	}
	return float64(clipped) / float64(len(set.Near))
}

func luminancesOf(set imageio.Pixels) []float64 {
	luminances := make([]float64, len(set.Light))
	for i, c := range set.Light {
		luminances[i] = c.Luminance()
	}
	return luminances
}

func meanLight(light []colour.LinearRGB) colour.LinearRGB {
	var sum colour.LinearRGB
	for _, c := range light {
		sum = colour.LinearRGB{R: sum.R + c.R, G: sum.G + c.G, B: sum.B + c.B}
	}
	n := float64(len(light))
	return colour.LinearRGB{R: sum.R / n, G: sum.G / n, B: sum.B / n}
}
