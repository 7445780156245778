package workshop

import (
	"math"

	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/internal/piece"
)

// scaleOf is what tells how large things in a photo are: a marked length, or else the chart; nil where
// nothing does.
func scaleOf(ref piece.Reference) *chart.Scale {
	var scale chart.Scale
	switch {
	case ref.Length != nil:
		scale = chart.ScaleByLength(ref.Length.From, ref.Length.To, ref.Length.MM)
	case ref.ChartWidth > 0 && ref.Corners != nil:
		scale = chart.ScaleByChart(*ref.Corners, ref.ChartWidth)
	default:
		return nil
	}
	return &scale
}

// squareMetres is the size of an outline; 0 when nothing tells.
func squareMetres(scale *chart.Scale, o imageio.Outline) float64 {
	if scale == nil {
		return 0
	}
	size, ok := scale.SquareMetres(o)
	if !ok {
		return 0
	}
	return size
}

// pixelMM is how many millimetres one pixel is near a place; 0 when nothing tells.
func pixelMM(scale *chart.Scale, at imageio.Point) float64 {
	const side = 20.0
	return 1000 * math.Sqrt(squareMetres(scale, imageio.Rect(at.X-side/2, at.Y-side/2, side, side))) / side
}
