package imageio

import (
	"context"
	"encoding/binary"
	"math/bits"

	"huewright/imageio/internal/jpeg"
	"huewright/internal/parallel"
)

// calmness finds where the means of a picture's blocks of 8 × 8 pixels tell enough for a search of slips: dark frames beside something
// light. These are known of a JPEG before any part of it is decoded.
type calmness struct {
	view   *jpeg.View // brightness
	blocks *jpeg.View // the means
	shift  int        // by which the view is larger than the blocks
	calm   []bool     // of fields of the blocks
	wide   int        // fields in a row
}

// A field is as wide as what is decoded together.
const fieldWide, fieldHigh = 3, 1 // blocks, as powers of two

func newCalmness(p *jpeg.Picture, shift int) *calmness {
	c := &calmness{view: p.Luma(shift), blocks: p.Luma(3), shift: 3 - shift}
	c.wide = (c.blocks.Width-1)>>fieldWide + 1
	c.calm = make([]bool, c.wide*((c.blocks.Height-1)>>fieldHigh+1))
	if shift == 0 {
		c.even()
	} else {
		c.sparse()
	}
	return c
}

const (
	// calmReach is how many blocks round a field must be calm too.
	calmReach = 2
	// calmLeast is the least share of the lightest block that the darkest may have, in 64ths. Our own choice.
	calmLeast = 44
)

// even takes fields for calm that change little, where a slip may be so small that a field holds all of it.
func (c *calmness) even() {
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
}

// A slip of 80 pixels is ten blocks wide, and wherever one looks on it dark lies beside light. At the edge of a thing, on grain or on a
// keyboard that is so along lines, and not all over. On a larger slip it is not so either where its cells are larger than blocks, which
// then show it well enough. Tried on 800 slips in real photos; our own choice.
const (
	// contrastLeast is the share of the lightest of 3 × 3 blocks below which the darkest is dark beside it, in 64ths, and lightLeast
	// the code that paper has at least.
	contrastLeast, lightLeast = 48, 64
	// denseReach is how far dark lies beside light all over, in blocks each way, and lightReach how near something light.
	denseReach, lightReach = 2, 3
	// slipReach is how far the rest of a slip may reach from there.
	slipReach = 6
)

// sparse takes fields for calm that no slip of some size can be in.
func (c *calmness) sparse() {
	wide := c.blocks.Width
	plain, light := newMask(wide, c.blocks.Height), newMask(wide, c.blocks.Height)
	// Of three rows, with one more block on either side and what is added up in eights beyond.
	least, most := make([]uint8, wide+16), make([]uint8, wide+16)
	var three [3][]uint8
	for k := range three {
		three[k] = make([]uint8, wide+8)
	}
	for y := range c.blocks.Height {
		for k := range three {
			luma, _, _, _ := c.blocks.Run(0, min(max(y+k-1, 0), c.blocks.Height-1))
			copy(three[k], luma)
		}
		for x := 0; x < wide; x += 8 {
			a, b, c := eight(three[0][x:]), eight(three[1][x:]), eight(three[2][x:])
			binary.LittleEndian.PutUint64(least[x+1:], leastOf(leastOf(a, b), c))
			binary.LittleEndian.PutUint64(most[x+1:], mostOf(mostOf(a, b), c))
		}
		least[0], most[0], least[wide+1], most[wide+1] = least[1], most[1], least[wide], most[wide]
		plainRow, lightRow := plain.row(y), light.row(y)
		for x := 0; x < wide; x += 8 {
			darkest := leastOf(leastOf(eight(least[x:]), eight(least[x+1:])), eight(least[x+2:]))
			lightest := mostOf(mostOf(eight(most[x:]), eight(most[x+1:])), eight(most[x+2:]))
			for k := range min(8, wide-x) {
				d, l := uint64(uint8(darkest>>(8*k))), uint64(uint8(lightest>>(8*k)))
				_, contrast := bits.Sub64(64*d, contrastLeast*l, 0)
				_, dark := bits.Sub64(l, lightLeast, 0)
				plainRow[x/64] |= (contrast ^ 1) << (x%64 + k)
				lightRow[x/64] |= (dark ^ 1) << (x%64 + k)
			}
		}
	}
	plain.grow(denseReach)
	light.grow(lightReach - 1)
	for i, word := range plain.words {
		light.words[i] &^= word
	}
	light.grow(slipReach)
	for i := range c.calm {
		x, y := i%c.wide<<fieldWide, i/c.wide<<fieldHigh
		c.calm[i] = light.eight(x, y)|light.eight(x, min(y+1, c.blocks.Height-1)) == 0
	}
}

func eight(codes []uint8) uint64 { return binary.LittleEndian.Uint64(codes) }

// leastOf and mostOf are the less and the greater of each of eight bytes.
func leastOf(a, b uint64) uint64 {
	less := lessMask(a, b)
	return a&less | b&^less
}

func mostOf(a, b uint64) uint64 {
	less := lessMask(a, b)
	return b&less | a&^less
}

// lessMask has all bits of each byte set where that of a is less than that of b.
func lessMask(a, b uint64) uint64 {
	const high = 0x8080808080808080
	lowNotLess := (a | high) - b&^high // the highest bit of each: its lower seven bits are not less
	less := (^a&b | ^(a^b)&^lowNotLess) & high
	return less >> 7 * 0xff
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
	side := 1 << c.shift
	for y := from; y < to; y += side {
		means, _, _, _ := c.blocks.Run(x>>c.shift, y>>c.shift)
		part := codes[y*wide+x:][:min(1<<(c.shift+fieldWide), wide-x)]
		for i := range part {
			part[i] = means[i>>c.shift]
		}
		for next := y + 1; next < min(y+side, to); next++ {
			copy(codes[next*wide+x:], part)
		}
	}
}
