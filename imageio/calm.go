package imageio

import "huewright/imageio/internal/jpeg"

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

// at is the brightness of a pixel of the view.
func (c *calmness) at(x, y int) uint8 {
	if c.calm[y>>c.shift>>fieldHigh*c.wide+x>>c.shift>>fieldWide] {
		luma, _, _ := c.blocks.YCC(x>>c.shift, y>>c.shift)
		return luma
	}
	luma, _, _ := c.view.YCC(x, y)
	return luma
}

// row copies the brightness of a row of the view.
func (c *calmness) row(y int, codes []uint8) {
	calm := c.calm[y>>c.shift>>fieldHigh*c.wide:]
	means, _, _, _ := c.blocks.Run(0, y>>c.shift)
	step := 1 << (c.shift + fieldWide)
	for x := 0; x < c.view.Width; x += step {
		if !calm[x/step] {
			luma, _, _, _ := c.view.Run(x, y)
			copy(codes[x:], luma)
			continue
		}
		part := codes[x:min(x+step, c.view.Width)]
		for i := range part {
			part[i] = means[(x+i)>>c.shift]
		}
	}
}
