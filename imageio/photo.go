package imageio

import (
	"math"

	"huewright/colour"
	"huewright/imageio/internal/container"
	"huewright/imageio/internal/icc"
	"huewright/internal/fault"
)

// ShootingFacts is what the camera noted about a photo. Each field is zero when it did not.
type ShootingFacts = container.ShootingFacts

// A Photo is a decoded picture, upright, whose light is read pixel by pixel. It does not
// change once made, so any number of goroutines may read it.
type Photo struct {
	Path          string // as the user gave it
	Format        string // "JPEG", "PNG", "TIFF", "WebP", "HEIC", "AVIF", "DNG"
	Width, Height int    // upright, in pixels
	Facts         ShootingFacts
	Profile       string       // description of the colour profile; "sRGB assumed" when the file brings none
	Warnings      []fault.Note // what makes the colours of this photo less sure

	pixels   *raster
	turned   orientation
	transfer *icc.Transfer
	raw      *rawColours // of a raw photo; else nil
}

// FocalPixels is the focal length in pixels, by what the camera noted; 0 where it did not. It is wrong for a picture that was cut
// afterwards.
//
// Source: CIPA DC-008 (EXIF) 2.32, 4.6.5 has the figure and not what is held equal; by common practice, without a source, the
// diagonals are.
func (p *Photo) FocalPixels() float64 {
	frame := math.Hypot(36, 24)
	return p.Facts.FocalAs35 / frame * math.Hypot(float64(p.Width), float64(p.Height))
}

// Linear returns the light at an upright pixel, with the primaries of sRGB. The embedded
// profile has been honoured; what lies outside the gamut is kept. It panics if the pixel is
// not on the photo.
func (p *Photo) Linear(x, y int) colour.LinearRGB {
	r, g, b := p.code(x, y)
	return p.light(x, y, r, g, b)
}

// LinearSquare is Linear of 2 × 2 upright pixels, row by row, from the upper left one on. It panics where one is not on the photo.
func (p *Photo) LinearSquare(x, y int) (light [4]colour.LinearRGB) {
	if p.pixels.square == nil || uint(x) >= uint(p.Width-1) || uint(y) >= uint(p.Height-1) {
		for k := range light {
			light[k] = p.Linear(x+k&1, y+k>>1)
		}
		return light
	}
	fromX, fromY := p.turned.stored(x, y)
	toX, toY := p.turned.stored(x+1, y+1)
	left, top := min(fromX, toX), min(fromY, toY)
	codes := p.pixels.square(left, top)
	for k := range light {
		atX, atY := x+k&1, y+k>>1
		if p.turned.number > 1 {
			atX, atY = p.turned.stored(atX, atY)
		}
		c := &codes[(atY-top)<<1|(atX-left)]
		light[k] = p.transfer.Linear(c[0], c[1], c[2])
	}
	return light
}

// Clipped reports whether any channel of an upright pixel is at the upper end of what its
// file can hold, 250 of 255 or more, where the light may have been brighter than it says.
func (p *Photo) Clipped(x, y int) bool {
	r, g, b := p.code(x, y)
	return max(r, g, b) >= p.pixels.nearClip()
}

// LinearClipped is Linear and Clipped for less than both.
func (p *Photo) LinearClipped(x, y int) (light colour.LinearRGB, clipped bool) {
	r, g, b := p.code(x, y)
	return p.light(x, y, r, g, b), max(r, g, b) >= p.pixels.nearClip()
}

// light is what the code of an upright pixel means.
func (p *Photo) light(x, y int, r, g, b uint16) colour.LinearRGB {
	if p.pixels.values != nil {
		return p.transfer.Convert(p.pixels.values(p.turned.stored(x, y)))
	}
	return p.transfer.Linear(r, g, b)
}

func (p *Photo) code(x, y int) (r, g, b uint16) {
	if uint(x) >= uint(p.Width) || uint(y) >= uint(p.Height) {
		panic("imageio: pixel outside the photo")
	}
	return p.pixels.code(p.turned.stored(x, y))
}

// CheckOn reports, as a fault of kind Use with the photo's path, an outline that leaves the photo or is no shape.
func (o Outline) CheckOn(p *Photo) error {
	if err := o.Check(); err != nil {
		return fault.In(err, fault.Place{File: p.Path})
	}
	w, h := float64(p.Width), float64(p.Height)
	for _, q := range o.Points {
		if q.X < 0 || q.Y < 0 || q.X > w || q.Y > h {
			return in(p.Path, fault.New(fault.Use, "outline.outside", "x", q.X, "y", q.Y, "wide", p.Width, "high", p.Height))
		}
	}
	return nil
}
