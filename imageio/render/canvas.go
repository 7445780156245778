package render

import (
	"context"
	"image"
	"math"
	"slices"
	"sync"

	"huewright/colour"
	"huewright/imageio"
	"huewright/internal/parallel"
)

// A Canvas is a photo as a screen shows it, at some size, whose areas can be given other colours.
type Canvas struct {
	img   *image.NRGBA
	scale float64 // pixels of the photo to one of the canvas
}

// NewCanvas renders the photo, upright, in sRGB, at most so many pixels wide and high; 0 is full size. Where
// several pixels of the photo become one, their light is averaged. The error is that of the context.
func NewCanvas(ctx context.Context, p *imageio.Photo, most int) (*Canvas, error) {
	c := &Canvas{scale: 1}
	if longer := max(p.Width, p.Height); most > 0 && longer > most {
		c.scale = float64(longer) / float64(most)
	}
	wide, high := max(1, int(float64(p.Width)/c.scale+0.5)), max(1, int(float64(p.Height)/c.scale+0.5))
	c.img = image.NewNRGBA(image.Rect(0, 0, wide, high))
	cell, light := p.LinearAbout(int(c.scale))
	n := min(3, int(math.Ceil(c.scale/float64(cell))))
	const rows = 16
	if err := parallel.Ranges(ctx, high, rows, func(from, to int) {
		for y := from; y < to; y++ {
			row := c.img.Pix[y*c.img.Stride:]
			if c.scale == 1 && p.ScreenRow(y, row) {
				continue
			}
			for x := range wide {
				r, g, b := shown(p, light, x, y, n, c.scale)
				row[4*x], row[4*x+1], row[4*x+2], row[4*x+3] = r, g, b, 0xff
			}
		}
	}); err != nil {
		return nil, err
	}
	return c, nil
}

// shown is a pixel of a canvas: the mean light of n × n places in it.
func shown(p *imageio.Photo, light func(x, y int) colour.LinearRGB, x, y, n int, scale float64) (r, g, b uint8) {
	var sum colour.LinearRGB
	for i := range n * n {
		px := min(p.Width-1, int(scale*(float64(x)+(float64(i%n)+0.5)/float64(n))))
		py := min(p.Height-1, int(scale*(float64(y)+(float64(i/n)+0.5)/float64(n))))
		l := light(px, py)
		sum.R, sum.G, sum.B = sum.R+l.R, sum.G+l.G, sum.B+l.B
	}
	k := 1 / float64(n*n)
	return screenCode(k * sum.R), screenCode(k * sum.G), screenCode(k * sum.B)
}

// encodeSteps of light are told apart: more than the steepest step of the codes needs.
const encodeSteps = 1 << 14

var encodeTable = sync.OnceValue(func() *[encodeSteps + 1]uint8 {
	t := new([encodeSteps + 1]uint8)
	for i := range t {
		t[i] = colour.LinearRGB{R: float64(i) / encodeSteps}.Encode().R
	}
	return t
})

// screenCode is the code of so much light, 0–1, as a screen has it.
func screenCode(light float64) uint8 {
	return encodeTable()[int(min(max(light, 0), 1)*encodeSteps+0.5)]
}

// Whole is the outline of all of the photo.
func (c *Canvas) Whole() imageio.Outline {
	wide, high := c.size()
	return imageio.Rect(0, 0, c.scale*float64(wide), c.scale*float64(high))
}

// Clone is a copy that can be changed without the canvas.
func (c *Canvas) Clone() *Canvas {
	img := *c.img
	img.Pix = slices.Clone(c.img.Pix)
	return &Canvas{img: &img, scale: c.scale}
}

// Picture is the canvas as a picture.
func (c *Canvas) Picture() image.Image { return c.img }

// Crop is the part of the canvas round an outline of the photo, with a margin about it of so much of
// its own size.
func (c *Canvas) Crop(o imageio.Outline, margin float64) image.Image {
	low, high := o.Bounds()
	by := margin * max(high.X-low.X, high.Y-low.Y)
	part := image.Rect(
		int((low.X-by)/c.scale), int((low.Y-by)/c.scale),
		int(math.Ceil((high.X+by)/c.scale)), int(math.Ceil((high.Y+by)/c.scale)),
	)
	return c.img.SubImage(part.Intersect(c.img.Rect))
}

// size is the canvas's width and height.
func (c *Canvas) size() (wide, high int) { return c.img.Rect.Dx(), c.img.Rect.Dy() }

// Place is where a place on the photo lies on the canvas.
func (c *Canvas) Place(p imageio.Point) imageio.Point {
	return imageio.Point{X: p.X / c.scale, Y: p.Y / c.scale}
}

// scaled is an outline of the photo on the canvas.
func (c *Canvas) scaled(o imageio.Outline) imageio.Outline { return o.Mapped(c.Place) }
