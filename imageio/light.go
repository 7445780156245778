package imageio

import (
	"math"

	"huewright/colour"
)

// Light is how much light falls on each place of a photo, over that where the photo's
// reference is. Slips of paper or a photo of a blank sheet tell it.
type Light interface {
	// Log is the natural logarithm of the luminance at a place over that at the reference.
	Log(at Point) float64
	// Unsure is the standard deviation of Log.
	Unsure(at Point) float64
	// UnsureBetween is the standard deviation of the difference of Log between two places.
	UnsureBetween(a, b Point) float64
}

// inEvenLight takes the light out of what was seen at a place.
func inEvenLight(c colour.XYZ, log float64) colour.XYZ {
	k := math.Exp(-log)
	return colour.XYZ{X: k * c.X, Y: k * c.Y, Z: k * c.Z}
}

// LightRadius is the difference, in ΔE00, that an error of light makes near a colour 95 times
// in 100 at most; deviation is the standard deviation of the logarithm of luminance.
func LightRadius(l colour.Lab, deviation float64) float64 {
	c := l.XYZ()
	return max(colour.DeltaE2000(l, inEvenLight(c, 1.96*deviation).Lab()), colour.DeltaE2000(l, inEvenLight(c, -1.96*deviation).Lab()))
}

// place is a point of the photo as the fields of colour want it.
func (p *Photo) place(at Point) colour.Position {
	side := float64(max(p.Width, p.Height))
	return colour.Position{X: (at.X - float64(p.Width)/2) / side, Y: (at.Y - float64(p.Height)/2) / side}
}

// Centre is the centre of gravity of the outline; its holes are not looked at.
func (o Outline) Centre() Point {
	var x, y, area float64
	for i, a := range o.Points {
		b := o.Points[(i+1)%len(o.Points)]
		cross := a.X*b.Y - b.X*a.Y
		x, y, area = x+cross*(a.X+b.X), y+cross*(a.Y+b.Y), area+cross
	}
	if area == 0 {
		return o.Points[0]
	}
	return Point{x / (3 * area), y / (3 * area)}
}

// Unevenness is how much the light changes over the part of a photo that the points span, and
// how much of that may be left once it is evened, each as a share of luminance.
func Unevenness(light Light, spanned []Point) (found, left float64) {
	low, high := Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	for _, p := range spanned {
		low, high = Point{min(low.X, p.X), min(low.Y, p.Y)}, Point{max(high.X, p.X), max(high.Y, p.Y)}
	}
	const side = 7
	least, most, sum := math.Inf(1), math.Inf(-1), 0.0
	for i := range side * side {
		at := Point{
			low.X + (high.X-low.X)*float64(i%side)/(side-1),
			low.Y + (high.Y-low.Y)*float64(i/side)/(side-1),
		}
		log, sd := light.Log(at), light.Unsure(at)
		least, most, sum = min(least, log), max(most, log), sum+sd*sd
	}
	return 1 - math.Exp(least-most), math.Sqrt(sum / (side * side))
}

// EvenLight is what linear light at a place is to be multiplied by to be as it were in even light.
func EvenLight(light Light, at Point) float64 { return math.Exp(-light.Log(at)) }
