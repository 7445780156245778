package sample

import (
	"huewright/colour"
	"huewright/imageio"
)

// LightRadius is the difference, in ΔE00, that an error of light makes near a colour 95 times
// in 100 at most; deviation is the standard deviation of the logarithm of luminance.
func LightRadius(l colour.Lab, deviation float64) float64 {
	lit := func(log float64) float64 { return colour.DeltaE2000(l, imageio.InEvenLight(l.XYZ(), log).Lab()) }
	return max(lit(1.96*deviation), lit(-1.96*deviation))
}
