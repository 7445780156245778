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
	work := func(from, to int) {
		for y := from; y < to; y++ {
			p.ScreenRow(y, c.img.Pix[y*c.img.Stride:])
		}
	}
	across := high
	if c.scale > 1 || !p.ScreenRow(0, c.img.Pix) {
		work = func(from, to int) { c.shrink(p.LinesAbout(int(c.scale)), p, from, to) }
		if p.LinesAbout(int(c.scale)).Columns {
			across = wide
		}
	}
	const some = 16
	if err := parallel.Ranges(ctx, across, some, work); err != nil {
		return nil, err
	}
	return c, nil
}

// shrink renders some rows, or where lines are columns some columns: each pixel is the mean light of n × n places in it.
func (c *Canvas) shrink(lines *imageio.Lines, p *imageio.Photo, from, to int) {
	n := min(3, int(math.Ceil(c.scale/float64(lines.Cell))))
	wide, high := c.size()
	columns, rows := c.places(wide, n, p.Width), c.places(high, n, p.Height)
	across, along := rows, columns
	next, nextLine := 4, c.img.Stride // bytes to the next pixel of a line, and to that beside it
	if lines.Columns {
		across, along = along, across
		next, nextLine = nextLine, next
	}
	light := make([]colour.LinearRGB, n*len(along)) // of the n lines that one line of pixels stands for
	var offsets []int                               // of a pixel's places therein, row by row of the photo
	for k := range n * n {
		line, place := k/n, k%n
		if lines.Columns {
			line, place = place, line
		}
		offsets = append(offsets, line*len(along)+place)
	}
	codes, share := encodeTable(), 1/float64(n*n)
	for line := from; line < to; line++ {
		for k := range n {
			lines.Light(across[n*line+k], along, light[k*len(along):])
		}
		px := c.img.Pix[line*nextLine:]
		for i := range len(along) / n {
			var sum colour.LinearRGB
			for _, offset := range offsets {
				l := &light[n*i+offset]
				sum.R, sum.G, sum.B = sum.R+l.R, sum.G+l.G, sum.B+l.B
			}
			one := px[i*next:][:4]
			one[0], one[1], one[2], one[3] = codes.of(share*sum.R), codes.of(share*sum.G), codes.of(share*sum.B), 0xff
		}
	}
}

// places are those in the photo that n of each of the canvas's pixels stand for, along a side; end is where that ends.
func (c *Canvas) places(pixels, n, end int) (at []int) {
	for x := range pixels {
		for i := range n {
			at = append(at, min(end-1, int(c.scale*(float64(x)+(float64(i)+0.5)/float64(n)))))
		}
	}
	return at
}

// A codeTable has the code of a screen for so much light, in steps from 0 to 1: more of them than the steepest step of the codes needs.
type codeTable [encodeSteps + 1]uint8

const encodeSteps = 1 << 14

var encodeTable = sync.OnceValue(func() *codeTable {
	t := new(codeTable)
	for i := range t {
		t[i] = colour.LinearRGB{R: float64(i) / encodeSteps}.Encode().R
	}
	return t
})

// of is the code of so much light, cut off below 0 and above 1.
func (t *codeTable) of(light float64) uint8 {
	switch {
	case !(light > 0):
		return t[0]
	case light >= 1: // min and max of floats are calls in a browser
		return t[encodeSteps]
	}
	return t[int(light*encodeSteps+0.5)]
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
