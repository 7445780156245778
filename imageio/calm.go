package imageio

import (
	"context"

	"huewright/imageio/internal/jpeg"
	"huewright/internal/parallel"
)

// calmness finds where a picture changes so little that the means of its blocks of 8 × 8 pixels tell enough for a search of what
// is dark beside something light. These are known of a JPEG before any part of it is decoded.
type calmness struct {
	view   *jpeg.View // brightness
	blocks *jpeg.View // the means
	shift  int        // by which the view is larger than the blocks
	calm   []bool     // of fields of the blocks
	wide   int        // fields in a row
}

const (
	// A field is as wide as what is decoded together.
	fieldWide, fieldHigh = 3, 1 // blocks, as powers of two
	// calmReach is how many blocks round a field must be calm too.
	calmReach = 2
	// calmLeast is the least share of the lightest block that the darkest may have, in 64ths. Our own choice.
	calmLeast = 44
)

func newCalmness(p *jpeg.Picture, shift int) *calmness {
	c := &calmness{view: p.Luma(shift), blocks: p.Luma(3), shift: 3 - shift}
	c.wide = (c.blocks.Width-1)>>fieldWide + 1
	high := (c.blocks.Height-1)>>fieldHigh + 1
	c.calm = make([]bool, c.wide*high)
	for i := range c.calm {
		x0, y0 := i%c.wide<<fieldWide, i/c.wide<<fieldHigh
		least, most := uint8(255), uint8(0)
		x1, y1 := min(x0+1<<fieldWide+calmReach, c.blocks.Width), min(y0+1<<fieldHigh+calmReach, c.blocks.Height)
		x0, y0 = max(x0-calmReach, 0), max(y0-calmReach, 0)
		for y := y0; y < y1; y++ {
			luma, _, _, _ := c.blocks.Run(x0, y)
			for _, code := range luma[:x1-x0] {
				least, most = min(least, code), max(most, code)
			}
		}
		c.calm[i] = 64*int(least) >= calmLeast*int(most)
	}
	return c
}

// codes are the brightness of the view, row by row. What is decoded for it is not kept.
func (c *calmness) codes(ctx context.Context) ([]uint8, error) {
	wide, high := c.view.Width, c.view.Height
	codes := make([]uint8, wide*high)
	side := 1 << (c.shift + fieldHigh)
	err := parallel.Ranges(ctx, high, side, func(from, to int) {
		var room []uint8
		calm := c.calm[from/side*c.wide:]
		for x := 0; x < wide; x += 1 << (c.shift + fieldWide) {
			if calm[x>>(c.shift+fieldWide)] {
				c.putMeans(codes, x, from, to)
				continue
			}
			for y := from; y < to; {
				luma, n, _, _ := c.view.Glance(x, y, &room)
				for ; len(luma) > 0 && y < to; y++ {
					copy(codes[y*wide+x:][:min(n, wide-x)], luma)
					luma = luma[n:]
				}
			}
		}
	})
	return codes, err
}

// putMeans puts the means of the blocks of a field where its brightness goes.
func (c *calmness) putMeans(codes []uint8, x, from, to int) {
	wide := c.view.Width
	for y := from; y < to; y++ {
		means, _, _, _ := c.blocks.Run(x>>c.shift, y>>c.shift)
		part := codes[y*wide+x:][:min(1<<(c.shift+fieldWide), wide-x)]
		for i := range part {
			part[i] = means[i>>c.shift]
		}
	}
}
