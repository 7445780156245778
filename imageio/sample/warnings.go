package sample

import (
	"fmt"
	"math"

	"huewright/colour"
	"huewright/imageio"
	"huewright/internal/fault"
)

// When an area is worth a warning. Our own choice.
const (
	muchGlare   = 0.05 // of the pixels
	muchGap     = 0.10
	muchClipped = 0.01
	muchTilt    = 0.20 // of luminance, from end to end
	muchGrain   = 1.5  // ΔE00
	fewPixels   = 2000
)

// areaWarnings says what of an area makes its reading less sure.
func areaWarnings(wood imageio.Pixels, light []colour.XYZ, r colour.Reading) []fault.Note {
	var out []fault.Note
	warn := func(format string, args ...any) { out = append(out, fault.Saying(format, args...)) }
	read := float64(r.Pixels + r.Dropped.Glare + r.Dropped.Gaps)
	if share := float64(r.Dropped.Glare) / read; share > muchGlare {
		warn("%.0f %% of the area is glare and was left out: turn the piece or move the lamp, and take it again", 100*share)
	}
	if share := float64(r.Dropped.Gaps) / read; share > muchGap {
		warn("%.0f %% of the area is gaps or shadow and was left out: keep the outline to one board", 100*share)
	}
	clipped := 0
	luminances := make([]float64, len(light))
	for i, c := range light {
		luminances[i] = c.Y
		if wood.Near[i] > 0 {
			clipped++
		}
	}
	if share := float64(clipped) / float64(len(light)); share > muchClipped {
		warn("%.0f %% of the area is too bright for the photo to hold its colour: take it again with less exposure", math.Ceil(100*share))
	}
	if tilt := unevenness(wood.At, luminances); tilt > muchTilt {
		warn("the light changes by %.0f %% across the area: mark a smaller one, or light the piece more evenly", 100*tilt)
	} else if r.Sampling > muchGrain {
		warn("the wood varies so much that another part of it may read %.1f ΔE00 differently: mark a larger area", r.Sampling)
	}
	if r.Pixels < fewPixels {
		warn("only %s: take the photo from nearer, or mark a larger area", pixels(r.Pixels))
	}
	return out
}

func pixels(n int) string {
	if n == 1 {
		return "1 pixel"
	}
	return fmt.Sprintf("%d pixels", n)
}
