// Package evenlight finds how light falls over a photo, so that colours can be taken to even light: from slips of
// one paper laid round the piece ([ReadSlips], [FitLight]), or from a second photo of a blank sheet
// ([ReadFlatField]). Both give an [imageio.Light]. [FitSlips] also fits the photo's correction to slips of known
// lightness, where there is no chart; [FindPaper] proposes what may be slips.
//
// Light is a natural logarithm of luminance over that at the photo's reference; its standard deviations are in the
// same unit. Places are in pixels of the photo.
package evenlight

import (
	"math"

	"huewright/colour/camera"
	"huewright/imageio"
)

// place is a point of the photo in units of its longer side, from the middle.
func place(p *imageio.Photo, at imageio.Point) camera.Position {
	side := float64(max(p.Width, p.Height))
	return camera.Position{X: (at.X - float64(p.Width)/2) / side, Y: (at.Y - float64(p.Height)/2) / side}
}

// Unevenness returns how much the light changes over the part of a photo that the points span, and how much of
// that may be left once it is evened, each as a share of luminance.
func Unevenness(light imageio.Light, spanned []imageio.Point) (found, left float64) {
	low, high := imageio.Outline{Points: spanned}.Bounds()
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

// Gain returns the factor that takes linear light seen at a place to what it would be in even light.
func Gain(light imageio.Light, at imageio.Point) float64 { return math.Exp(-light.Log(at)) }
