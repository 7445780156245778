package sample

import (
	"math"

	"huewright/imageio"
)

// unevenness fits a plane to luminance over the places of an area and returns how much it
// rises from one end of the area to the other, as a share of the mean. It is 0 when there is
// nothing to fit.
func unevenness(at []imageio.Pixel, luminances []float64) float64 {
	n := float64(len(at))
	if n < 3 {
		return 0
	}
	var mx, my, mean float64
	for i, p := range at {
		mx, my, mean = mx+float64(p.X), my+float64(p.Y), mean+luminances[i]
	}
	mx, my, mean = mx/n, my/n, mean/n
	var xx, xy, yy, xv, yv float64
	for i, p := range at {
		x, y, v := float64(p.X)-mx, float64(p.Y)-my, luminances[i]-mean
		xx, xy, yy, xv, yv = xx+x*x, xy+x*y, yy+y*y, xv+x*v, yv+y*v
	}
	det := xx*yy - xy*xy
	if det <= 1e-9*xx*yy || mean <= 0 {
		return 0 // one row, one column or one slanting line of pixels
	}
	slopeX, slopeY := (yy*xv-xy*yv)/det, (xx*yv-xy*xv)/det
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range at {
		v := slopeX*(float64(p.X)-mx) + slopeY*(float64(p.Y)-my)
		low, high = min(low, v), max(high, v)
	}
	return (high - low) / mean
}
