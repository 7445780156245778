package imageio

import (
	"math"

	"huewright/colour"
)

// Light is how much light falls on each place of a photo, over that where the photo's
// reference is. Slips of paper or a photo of a blank sheet tell it (imageio/evenlight).
type Light interface {
	// Log is the natural logarithm of the luminance at a place over that at the reference.
	Log(at Point) float64
	// Unsure is the standard deviation of Log.
	Unsure(at Point) float64
	// UnsureBetween is the standard deviation of the difference of Log between two places.
	UnsureBetween(a, b Point) float64
}

// InEvenLight is the colour seen at a place, had the light there been that at the reference; log is
// Light.Log of the place.
func InEvenLight(c colour.XYZ, log float64) colour.XYZ {
	k := math.Exp(-log)
	return colour.XYZ{X: k * c.X, Y: k * c.Y, Z: k * c.Z}
}
