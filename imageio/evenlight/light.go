package evenlight

import (
	"math"

	"huewright/colour/camera"
	"huewright/imageio"
)

// place is a point of the photo as the fields of colour want it.
func place(p *imageio.Photo, at imageio.Point) camera.Position {
	side := float64(max(p.Width, p.Height))
	return camera.Position{X: (at.X - float64(p.Width)/2) / side, Y: (at.Y - float64(p.Height)/2) / side}
}

// Unevenness is how much the light changes over the part of a photo that the points span, and
// how much of that may be left once it is evened, each as a share of luminance.
func Unevenness(light imageio.Light, spanned []imageio.Point) (found, left float64) {
	low, high := imageio.Point{X: math.Inf(1), Y: math.Inf(1)}, imageio.Point{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, p := range spanned {
		low, high = imageio.Point{X: min(low.X, p.X), Y: min(low.Y, p.Y)}, imageio.Point{X: max(high.X, p.X), Y: max(high.Y, p.Y)}
	}
	const side = 7
	least, most, sum := math.Inf(1), math.Inf(-1), 0.0
	for i := range side * side {
		at := imageio.Point{
			X: low.X + (high.X-low.X)*float64(i%side)/(side-1),
			Y: low.Y + (high.Y-low.Y)*float64(i/side)/(side-1),
		}
		log, sd := light.Log(at), light.Unsure(at)
		least, most, sum = min(least, log), max(most, log), sum+sd*sd
	}
	return 1 - math.Exp(least-most), math.Sqrt(sum / (side * side))
}

// EvenLight is what linear light at a place is to be multiplied by to be as it were in even light.
func EvenLight(light imageio.Light, at imageio.Point) float64 { return math.Exp(-light.Log(at)) }
