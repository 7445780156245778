package render

import (
	"context"
	"math"
	"slices"
	"sync"

	"huewright/colour"
	"huewright/imageio/internal/icc"
	"huewright/internal/parallel"
)

// gridStep is how many codes lie between corners of the grid. Our own choice: with 8, what lies
// between is off by less than 0.1 ΔE00 at wood colours.
const (
	gridStep = 8
	gridBits = 3
	gridSide = 256/gridStep + 1
)

// A colourTable holds what codes become at the corners of a grid, where they are needed. A node has
// the three codes in one word, in sixteenths, so that four multiplications weigh all three channels.
type colourTable struct {
	change func(colour.LinearRGB) colour.LinearRGB
	mutex  sync.Mutex
	needed []bool   // cells, by their lowest corner
	nodes  []uint64 // red, green and blue from the top, nodeBits each

	tetrahedra *[gridStep * gridStep * gridStep]tetrahedron
}

const (
	nodeBits  = 21 // room for a code in sixteenths, times the weights' sum
	nodeMask  = 1<<nodeBits - 1
	sixteenth = 16
	// Where the corners of a cell lie from its lowest.
	toRed, toGreen, toBlue = gridSide * gridSide, gridSide, 1
)

func newColourTable(change func(colour.LinearRGB) colour.LinearRGB) *colourTable {
	const n = gridSide * gridSide * gridSide
	return &colourTable{change: change, needed: make([]bool, n), nodes: make([]uint64, n), tetrahedra: tetrahedra()}
}

// cellOf is the cell that a colour lies in.
func cellOf(r, g, b uint8) int {
	return int(r)>>gridBits*toRed + int(g)>>gridBits*toGreen + int(b)>>gridBits
}

// need notes cells that are needed.
func (t *colourTable) need(cells []bool) {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	for i, is := range cells {
		t.needed[i] = t.needed[i] || is
	}
}

// fill computes the corners of all cells that are needed.
func (t *colourTable) fill(ctx context.Context) error {
	wanted := make([]bool, len(t.nodes))
	for cell, is := range t.needed {
		if is {
			for i := range 8 {
				wanted[cell+i>>2&1*toRed+i>>1&1*toGreen+i&1] = true
			}
		}
	}
	var list []int
	for node, is := range wanted {
		if is {
			list = append(list, node)
		}
	}
	const some = 16
	return parallel.Ranges(ctx, len(list), some, func(from, to int) {
		for _, node := range list[from:to] {
			code := func(i int) float64 { return icc.DecodeSRGB(float64(i*gridStep) / 255) }
			out := t.change(colour.LinearRGB{R: code(node / toRed), G: code(node / toGreen % gridSide), B: code(node % gridSide)})
			t.nodes[node] = packed(codeOf(out.R))<<(2*nodeBits) | packed(codeOf(out.G))<<nodeBits | packed(codeOf(out.B))
		}
	})
}

// packed is a code in sixteenths.
func packed(code float32) uint64 { return uint64(sixteenth*min(code, 255) + 0.5) }

// codeOf is the code of so much light, not rounded and not cut off above.
func codeOf(light float64) float32 {
	switch {
	case !(light > 0):
		return 0
	case light <= 0.0031308:
		return float32(255 * 12.92 * light)
	}
	return float32(255 * (1.055*math.Pow(light, 1/2.4) - 0.055))
}

// A tetrahedron is four corners of a cell, a path along its edges from the lowest to the highest that takes the
// channel with the most to go first, and how much each weighs on a place within.
type tetrahedron struct {
	one, two                uint16 // of them, from the lowest
	lowest, w1, w2, highest uint8  // what each counts, in eighths
}

// tetrahedra are those that each place in a cell lies in. On the diagonal they share greys stay grey.
var tetrahedra = sync.OnceValue(func() *[gridStep * gridStep * gridStep]tetrahedron {
	all := new([gridStep * gridStep * gridStep]tetrahedron)
	for i := range all {
		r, g, b := i>>(2*gridBits), i>>gridBits&(gridStep-1), i&(gridStep-1)
		type way struct{ far, to int }
		ways := []way{{r, toRed}, {g, toGreen}, {b, toBlue}}
		slices.SortStableFunc(ways, func(a, b way) int { return b.far - a.far })
		all[i] = tetrahedron{
			one: uint16(ways[0].to), two: uint16(ways[0].to + ways[1].to),
			lowest: uint8(gridStep - ways[0].far), w1: uint8(ways[0].far - ways[1].far),
			w2: uint8(ways[1].far - ways[2].far), highest: uint8(ways[2].far),
		}
	}
	return all
})

// weigh is what a colour becomes: three codes in one word, each times sixteenth times gridStep.
func (t *colourTable) weigh(r, g, b uint8) uint64 {
	const low = gridStep - 1
	c := &t.tetrahedra[int(r&low)<<(2*gridBits)|int(g&low)<<gridBits|int(b&low)]
	at := t.nodes[cellOf(r, g, b):]
	return uint64(c.lowest)*at[0] + uint64(c.w1)*at[c.one] + uint64(c.w2)*at[c.two] + uint64(c.highest)*at[toRed+toGreen+toBlue]
}

// lookup is what a colour becomes.
func (t *colourTable) lookup(r, g, b uint8) (uint8, uint8, uint8) {
	const unit, half = sixteenth * gridStep, sixteenth * gridStep / 2
	w := t.weigh(r, g, b) + half<<(2*nodeBits) + half<<nodeBits + half
	return uint8(w >> (2 * nodeBits) / unit), uint8(w >> nodeBits & nodeMask / unit), uint8(w & nodeMask / unit)
}
