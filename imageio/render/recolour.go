package render

import (
	"context"
	"image"

	"huewright/colour"
	"huewright/imageio"
	"huewright/internal/parallel"
)

// A Recolouring gives an area of a canvas other colours.
type Recolouring struct {
	// Change is what a colour becomes, both as a screen shows them in even light. It is asked for the
	// corners of a grid of colours, and must be smooth; any number of goroutines call it at once.
	Change func(colour.LinearRGB) colour.LinearRGB
	// Light falls on the photo: it is taken out before Change and put back after. nil is even light.
	Light imageio.Light
	// From, of the same photo and size, has the colours that are changed; nil is the canvas itself.
	From *Canvas
	// Feather is how far, in pixels of the canvas, the edge of the area is softened outwards; 0 means a
	// six-hundredth of the longer side, negative not at all.
	Feather float64
}

// Recolour changes an outlined area. The error is that of the context: the canvas is then not to be shown.
func (c *Canvas) Recolour(ctx context.Context, o imageio.Outline, r Recolouring) error {
	mask, err := c.mask(ctx, o, r.Feather)
	if err != nil || mask == nil {
		return err
	}
	p := painter{img: c.img, from: c.img, mask: mask, table: newColourTable(r.Change)}
	if r.From != nil {
		p.from = r.From.img
	}
	if r.Light != nil {
		p.light = newLightGrid(r.Light, mask.box, c.scale)
	}
	const rows = 64
	inParts := func(work func(from, to int)) error {
		return parallel.Ranges(ctx, mask.box.Dy(), rows, func(from, to int) { work(mask.box.Min.Y+from, mask.box.Min.Y+to) })
	}
	if err := inParts(p.note); err != nil {
		return err
	}
	if err := p.table.fill(ctx); err != nil {
		return err
	}
	return inParts(p.paint)
}

// A painter recolours rows of a picture.
type painter struct {
	img   *image.NRGBA
	from  *image.NRGBA // the colours before
	mask  *softMask
	table *colourTable
	light *lightGrid // nil is even light
}

// note tells the table which of its cells the rows need.
func (p *painter) note(from, to int) {
	light, needed := p.light, make([]bool, len(p.table.needed))
	for y := from; y < to; y++ {
		row := p.from.Pix[p.from.PixOffset(p.mask.box.Min.X, y):]
		for x, a := range p.mask.row(y) {
			if a == 0 {
				continue
			}
			r, g, b := row[4*x], row[4*x+1], row[4*x+2]
			if light != nil {
				r, g, b = light.out(x, y, r, g, b)
			}
			needed[cellOf(r, g, b)] = true
		}
	}
	p.table.need(needed)
}

// paint gives the rows their new colours, once the table is filled.
func (p *painter) paint(from, to int) {
	table, light := p.table, p.light
	for y := from; y < to; y++ {
		at := p.img.PixOffset(p.mask.box.Min.X, y)
		row, from := p.img.Pix[at:], p.from.Pix[at:]
		for x, a := range p.mask.row(y) {
			if a == 0 {
				continue
			}
			px := row[4*x : 4*x+3 : 4*x+3]
			r, g, b := from[4*x], from[4*x+1], from[4*x+2]
			if a == 255 && light == nil {
				px[0], px[1], px[2] = table.lookup(r, g, b)
				continue
			}
			if light != nil {
				r, g, b = light.out(x, y, r, g, b)
			}
			r, g, b = table.lookup(r, g, b)
			if light != nil {
				r, g, b = light.in(x, y, r, g, b)
			}
			px[0], px[1], px[2] = blended(a, r, px[0]), blended(a, g, px[1]), blended(a, b, px[2])
		}
	}
}

// blended is a share of one code, 0–255, and the rest of another.
func blended(share, one, other uint8) uint8 {
	k := uint32(share)
	return uint8((k*uint32(one) + (255-k)*uint32(other) + 127) / 255)
}
