package imageio

import (
	"image"
	"image/color"

	"huewright/colour"
)

// upright is a photo as a picture of the standard library, in sRGB.
type upright struct{ p *Photo }

// AsImage is the photo as a picture of the standard library.
func (p *Photo) AsImage() image.Image { return upright{p} }

func (u upright) ColorModel() color.Model { return color.NRGBAModel }

func (u upright) Bounds() image.Rectangle { return image.Rect(0, 0, u.p.Width, u.p.Height) }

func (u upright) At(x, y int) color.Color {
	c := u.p.Linear(x, y).Encode()
	return color.NRGBA{c.R, c.G, c.B, 255}
}

// ScreenRow copies an upright row as red, green, blue and opaque bytes, four a pixel, and reports whether it
// could: only a photo in sRGB of 8 bits holds the codes of a screen already.
func (p *Photo) ScreenRow(y int, rgba []uint8) bool {
	if p.pixels.values != nil || p.pixels.bits != 8 || !p.transfer.IsSRGB8() {
		return false
	}
	if p.pixels.row != nil && p.turned.number <= 1 {
		p.pixels.row(y, rgba)
		return true
	}
	for x := range p.Width {
		r, g, b := p.pixels.code(p.turned.stored(x, y))
		rgba[4*x], rgba[4*x+1], rgba[4*x+2], rgba[4*x+3] = uint8(r), uint8(g), uint8(b), 0xff
	}
	return true
}

// AsSmallerImage is the photo as a picture of the standard library that is at least so many pixels wide or high, or full size: as small
// as its file gives it for less than the whole. Each pixel is about the mean of those that it stands for; what is left over at the right
// and below is cut off.
func (p *Photo) AsSmallerImage(least int) image.Image {
	cell, light := p.LinearAbout(max(p.Width, p.Height) / max(least, 1))
	return smaller{cell, image.Rect(0, 0, max(1, p.Width/cell), max(1, p.Height/cell)), light}
}

// A smaller photo has cell × cell pixels as one.
type smaller struct {
	cell   int
	bounds image.Rectangle
	light  func(x, y int) colour.LinearRGB
}

func (s smaller) ColorModel() color.Model { return color.NRGBAModel }

func (s smaller) Bounds() image.Rectangle { return s.bounds }

func (s smaller) At(x, y int) color.Color {
	c := s.light(s.cell*x+s.cell/2, s.cell*y+s.cell/2).Encode()
	return color.NRGBA{c.R, c.G, c.B, 255}
}
