package surround

import (
	"context"
	"image"
	"image/color"
	"math"

	"github.com/disintegration/imaging"

	"huewright/imageio"
)

// Overlay returns the part of the photo round the repair: what is no wood to judge by is greyed, the repair and
// its ring are outlined, the middles of the patches are dots, and a line on either side of the ring shows how the
// grain runs.
func (s *Surroundings) Overlay(ctx context.Context, p *imageio.Photo) (image.Image, error) {
	right, bottom := int(s.x0+s.scale*float64(s.wide)), int(s.y0+s.scale*float64(s.high))
	part := image.Rect(int(s.x0), int(s.y0), min(p.Width, right), min(p.Height, bottom))
	times := float64(overlayPart) / float64(max(part.Dx(), part.Dy()))
	img := imaging.Resize(window{p.AsImage(), part}, max(1, int(times*float64(part.Dx()))), 0, imaging.Linear)
	fromGrid := func(x, y float64) imageio.Point { return imageio.Point{X: x * s.scale * times, Y: y * s.scale * times} }
	for y := range img.Rect.Dy() {
		for x := range img.Rect.Dx() {
			gx, gy := int(float64(x)/s.scale/times), int(float64(y)/s.scale/times)
			if gx >= s.wide || gy >= s.high || s.wood[gy*s.wide+gx] || s.template.holds(gx-s.at.x, gy-s.at.y) {
				continue
			}
			c := img.NRGBAAt(x, y)
			grey := uint8((2*int(c.G) + int(c.R) + int(c.B)) / 8)
			img.SetNRGBA(x, y, color.NRGBA{64 + grey, 64 + grey, 64 + grey, 255})
		}
	}
	for _, at := range s.places {
		c := fromGrid(float64(at.x)+float64(s.template.wide)/2, float64(at.y)+float64(s.template.high)/2)
		dot(img, c)
	}
	ring := s.template.contour(func(d float64) bool { return d <= s.template.ringEnd })
	for _, line := range [][]cell{s.template.contour(func(d float64) bool { return d < 0 }), ring} {
		for _, c := range line {
			at := fromGrid(float64(s.at.x+c.x)+0.5, float64(s.at.y+c.y)+0.5)
			mark(img, at, color.NRGBA{255, 255, 255, 255})
		}
	}
	repair, err := s.Repair(ctx)
	if err != nil {
		return nil, err
	}
	texture := repair.Ring
	angle := texture.Along * math.Pi / 180
	middle := fromGrid(float64(s.at.x)+float64(s.template.wide)/2, float64(s.at.y)+float64(s.template.high)/2)
	clear := 1.1 * s.scale * times * (math.Hypot(float64(s.template.wide), float64(s.template.high))/2 + s.template.ringEnd)
	long := clear + float64(overlayPart)/5*texture.Coherence
	for k, c := range []color.Gray16{color.Black, color.White} { // the shadow first
		for _, side := range [2]float64{-1, 1} {
			for along := clear; along <= long; along++ {
				square(img, int(middle.X+side*along*math.Cos(angle))+1-k, int(middle.Y+side*along*math.Sin(angle))+1-k, c)
			}
		}
	}
	return img, nil
}

// overlayPart is how long the overlay of a repair is, in pixels.
const overlayPart = 900

// A window is a part of a picture.
type window struct {
	image.Image
	part image.Rectangle
}

func (w window) Bounds() image.Rectangle { return w.part }

// dot sets a white square of three pixels with a shadow.
func dot(img *image.NRGBA, at imageio.Point) {
	mark(img, at, color.NRGBA{255, 255, 255, 255})
	mark(img, imageio.Point{X: at.X + 1, Y: at.Y + 1}, color.NRGBA{255, 255, 255, 255})
}

// mark sets a small square.
func mark(img *image.NRGBA, at imageio.Point, c color.NRGBA) {
	x, y := int(at.X), int(at.Y)
	for v := -1; v <= 1; v++ {
		for u := -1; u <= 1; u++ {
			if u == 1 || v == 1 {
				img.Set(x+u, y+v, color.Black)
			} else {
				img.Set(x+u, y+v, c)
			}
		}
	}
}

// square sets a square of two pixels.
func square(img *image.NRGBA, x, y int, c color.Color) {
	for i := range 4 {
		img.Set(x+i%2, y+i/2, c)
	}
}
