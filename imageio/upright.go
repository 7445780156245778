package imageio

import (
	"image"
	"image/color"
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
