package imageio

import (
	"context"
	"image"
	"math"

	"huewright/colour"
)

// A Canvas is a photo as a screen shows it, at some size, whose areas can be given other colours.
type Canvas struct {
	img   *image.NRGBA
	scale float64 // pixels of the photo to one of the canvas
}

// Canvas renders the photo, upright, in sRGB, no wider and no higher than so many pixels; 0 is full
// size. Where several pixels of the photo become one, their light is averaged.
func (p *Photo) Canvas(ctx context.Context, most int) *Canvas {
	c := &Canvas{scale: 1}
	if longer := max(p.Width, p.Height); most > 0 && longer > most {
		c.scale = float64(longer) / float64(most)
	}
	wide, high := max(1, int(float64(p.Width)/c.scale+0.5)), max(1, int(float64(p.Height)/c.scale+0.5))
	c.img = image.NewNRGBA(image.Rect(0, 0, wide, high))
	n := min(3, int(math.Ceil(c.scale)))
	const rows = 16
	asItIs := c.scale == 1 && p.plain()
	inParts(ctx, high, rows, func(from, to int) {
		for y := from; y < to; y++ {
			row := c.img.Pix[y*c.img.Stride:]
			if asItIs && p.pixels.row != nil && p.lies.number <= 1 {
				p.pixels.row(y, row)
				continue
			}
			for x := range wide {
				if asItIs {
					r, g, b := p.pixels.code(p.lies.stored(x, y))
					row[4*x], row[4*x+1], row[4*x+2], row[4*x+3] = uint8(r), uint8(g), uint8(b), 0xff
					continue
				}
				r, g, b := p.shown(x, y, n, c.scale)
				row[4*x], row[4*x+1], row[4*x+2], row[4*x+3] = r, g, b, 0xff
			}
		}
	})
	return c
}

// shown is a pixel of a canvas: the mean light of n × n places in it.
func (p *Photo) shown(x, y, n int, scale float64) (r, g, b uint8) {
	var sum colour.LinearRGB
	for i := range n * n {
		px := min(p.Width-1, int(scale*(float64(x)+(float64(i%n)+0.5)/float64(n))))
		py := min(p.Height-1, int(scale*(float64(y)+(float64(i/n)+0.5)/float64(n))))
		l := p.Linear(px, py)
		sum.R, sum.G, sum.B = sum.R+l.R, sum.G+l.G, sum.B+l.B
	}
	k := 1 / float64(n*n)
	return screenCode(k * sum.R), screenCode(k * sum.G), screenCode(k * sum.B)
}

// plain reports whether the photo's codes are those of a screen already.
func (p *Photo) plain() bool {
	return p.pixels.values == nil && p.pixels.bits == 8 && p.transfer.better == nil && p.transfer.matrix == nil && &p.transfer.curves[0][0] == &srgbTable8()[0]
}

// encodeSteps of light are told apart: more than the steepest step of the codes needs.
const encodeSteps = 1 << 14

var encodeTable = func() (t [encodeSteps + 1]uint8) {
	for i := range t {
		t[i] = colour.LinearRGB{R: float64(i) / encodeSteps}.Encode().R
	}
	return t
}()

// screenCode is the code of so much light, 0–1, as a screen has it.
func screenCode(light float64) uint8 {
	return encodeTable[int(min(max(light, 0), 1)*encodeSteps+0.5)]
}

// Clone is the canvas once more, to be changed by itself.
func (c *Canvas) Clone() *Canvas {
	out := *c
	img := *c.img
	img.Pix = append([]uint8(nil), c.img.Pix...)
	out.img = &img
	return &out
}

// Picture is the canvas as a picture.
func (c *Canvas) Picture() Picture { return c.img }

// Crop is the part of the canvas round an outline of the photo, with a margin about it of so much of
// its own size.
func (c *Canvas) Crop(o Outline, margin float64) Picture {
	low, high := o.box()
	by := margin * max(high.X-low.X, high.Y-low.Y)
	part := image.Rect(int((low.X-by)/c.scale), int((low.Y-by)/c.scale), int(math.Ceil((high.X+by)/c.scale)), int(math.Ceil((high.Y+by)/c.scale)))
	return c.img.SubImage(part.Intersect(c.img.Rect))
}

// Size is the canvas's width and height.
func (c *Canvas) Size() (wide, high int) { return c.img.Rect.Dx(), c.img.Rect.Dy() }

// At is where a place on the photo lies on the canvas.
func (c *Canvas) At(p Point) Point { return Point{p.X / c.scale, p.Y / c.scale} }

// scaled is an outline of the photo on the canvas.
func (c *Canvas) scaled(o Outline) Outline {
	ring := func(points []Point) (out []Point) {
		for _, p := range points {
			out = append(out, c.At(p))
		}
		return out
	}
	s := Outline{Points: ring(o.Points)}
	for _, h := range o.Holes {
		s.Holes = append(s.Holes, ring(h))
	}
	return s
}

// Wood returns the light of at most so many pixels of an outline, glare and gaps left out, and where
// they are. The error is that of Sample.
func (p *Photo) Wood(ctx context.Context, o Outline, most int) (light []colour.LinearRGB, at []Point, err error) {
	const looked = 10 // times as many, to tell glare and gaps
	set, err := p.pixelsIn(ctx, o, SampleOptions{MaxPixels: looked * most})
	if err != nil {
		return nil, nil, err
	}
	verdicts := judge(ctx, set)
	n := 0
	for i, v := range verdicts {
		if v != kept {
			continue
		}
		if n++; n%looked == 0 || len(verdicts) < most {
			light, at = append(light, set.light[i]), append(at, set.at[i].centre())
		}
	}
	return light, at, nil
}
