package sample

import (
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
	warn := func(n fault.Note) { out = append(out, n) }
	read := float64(r.Pixels + r.Dropped.Glare + r.Dropped.Gaps)
	if share := float64(r.Dropped.Glare) / read; share > muchGlare {
		warn(fault.Say("area.glare", "share", share))
	}
	if share := float64(r.Dropped.Gaps) / read; share > muchGap {
		warn(fault.Say("area.gaps", "share", share))
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
		warn(fault.Say("area.burnt-out", "share", share))
	}
	if two := parts(wood.At, light); !two.Empty() {
		warn(two)
	} else if tilt := unevenness(wood.At, luminances); tilt > muchTilt {
		warn(fault.Say("area.uneven-light", "change", tilt))
	} else if r.Sampling > muchGrain {
		warn(fault.Say("area.varied", "delta", r.Sampling))
	}
	if r.Pixels < fewPixels {
		warn(fault.Say("area.small", "pixels", r.Pixels))
	}
	return out
}
