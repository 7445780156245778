package render

import (
	"context"
	"image"
	"math"
	"slices"
	"sync"

	"huewright/colour"
	"huewright/imageio"
	"huewright/imageio/internal/icc"
	"huewright/internal/parallel"
)

// A Recolouring gives an area of a canvas other colours.
type Recolouring struct {
	// Change is what a colour becomes, both as a screen shows them in even light. It is asked for the
	// corners of a grid of colours, and must be smooth; any number of goroutines call it at once.
	Change func(colour.LinearRGB) colour.LinearRGB
	// Light falls on the photo: it is taken out before Change and put back after. nil is even light.
	Light imageio.Light
	// Feather is how far, in pixels of the canvas, the edge of the area is softened outwards; 0 means a
	// six-hundredth of the longer side, negative not at all.
	Feather float64
}

// gridStep is how many codes lie between corners of the grid. Our own choice: with 8, what lies
// between is off by less than 0.1 ΔE00 at wood colours.
const (
	gridStep = 8
	gridBits = 3
	gridSide = 256/gridStep + 1
)

// Recolour changes an outlined area. The error is that of the context: the canvas is then not to be shown.
func (c *Canvas) Recolour(ctx context.Context, o imageio.Outline, r Recolouring) error {
	mask, err := c.mask(ctx, o, r.Feather)
	if err != nil {
		return err
	}
	if mask == nil {
		return nil
	}
	t := newColourTable(r.Change)
	b := mask.box
	var light *lightGrid
	if r.Light != nil {
		light = newLightGrid(r.Light, b, c.scale)
	}
	const rows = 64
	parts := func(work func(from, to int)) error {
		return parallel.Ranges(ctx, b.Dy(), rows, func(from, to int) { work(b.Min.Y+from, b.Min.Y+to) })
	}
	if err := parts(func(from, to int) {
		needed := make([]bool, len(t.needed))
		for y := from; y < to; y++ {
			row := c.img.Pix[c.img.PixOffset(b.Min.X, y):]
			for x, a := range mask.row(y) {
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
		t.need(needed)
	}); err != nil {
		return err
	}
	if err := t.fill(ctx); err != nil {
		return err
	}
	return parts(func(from, to int) {
		for y := from; y < to; y++ {
			alpha := mask.row(y)
			row := c.img.Pix[c.img.PixOffset(b.Min.X, y):]
			for x, a := range alpha {
				if a == 0 {
					continue
				}
				p := row[4*x : 4*x+3 : 4*x+3]
				if a == 255 && light == nil {
					p[0], p[1], p[2] = t.lookup(p[0], p[1], p[2])
					continue
				}
				r, g, b := p[0], p[1], p[2]
				if light != nil {
					r, g, b = light.out(x, y, r, g, b)
				}
				r, g, b = t.lookup(r, g, b)
				if light != nil {
					r, g, b = light.in(x, y, r, g, b)
				}
				k := uint32(a)
				p[0] = uint8((k*uint32(r) + (255-k)*uint32(p[0]) + 127) / 255)
				p[1] = uint8((k*uint32(g) + (255-k)*uint32(p[1]) + 127) / 255)
				p[2] = uint8((k*uint32(b) + (255-k)*uint32(p[2]) + 127) / 255)
			}
		}
	})
}

// A colourTable holds what codes become at the corners of a grid, where they are needed. A node has
// the three codes in one word, in sixteenths, so that four multiplications weigh all three channels.
type colourTable struct {
	change func(colour.LinearRGB) colour.LinearRGB
	mutex  sync.Mutex
	needed []bool   // cells, by their lowest corner
	nodes  []uint64 // red, green and blue from the top, nodeBits each
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
	return &colourTable{change: change, needed: make([]bool, n), nodes: make([]uint64, n)}
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
	if err := parallel.Ranges(ctx, len(list), some, func(from, to int) {
		for _, node := range list[from:to] {
			code := func(i int) float64 { return icc.DecodeSRGB(float64(i*gridStep) / 255) }
			out := t.change(colour.LinearRGB{R: code(node / toRed), G: code(node / toGreen % gridSide), B: code(node % gridSide)})
			t.nodes[node] = packed(codeOf(out.R))<<(2*nodeBits) | packed(codeOf(out.G))<<nodeBits | packed(codeOf(out.B))
		}
	}); err != nil {
		return err
	}
	return nil
}

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

// A corner says how a place in a cell lies among its corners: on the way from the lowest to the highest
// along the edges, the channel with the most to go first, two corners are passed.
type corner struct {
	one, two                uint16 // of them, from the lowest
	lowest, w1, w2, highest uint8  // what each counts, in eighths
}

// waysThrough are those of each place in a cell: in the tetrahedron it lies in, greys stay grey.
var waysThrough = func() (all [gridStep * gridStep * gridStep]corner) {
	for i := range all {
		r, g, b := i>>(2*gridBits), i>>gridBits&(gridStep-1), i&(gridStep-1)
		type way struct{ far, to int }
		ways := []way{{r, toRed}, {g, toGreen}, {b, toBlue}}
		slices.SortStableFunc(ways, func(a, b way) int { return b.far - a.far })
		all[i] = corner{
			one: uint16(ways[0].to), two: uint16(ways[0].to + ways[1].to),
			lowest: uint8(gridStep - ways[0].far), w1: uint8(ways[0].far - ways[1].far), w2: uint8(ways[1].far - ways[2].far), highest: uint8(ways[2].far),
		}
	}
	return all
}()

// weigh is what a colour becomes: three codes in one word, each times sixteenth times gridStep.
func (t *colourTable) weigh(r, g, b uint8) uint64 {
	const low = gridStep - 1
	c := &waysThrough[int(r&low)<<(2*gridBits)|int(g&low)<<gridBits|int(b&low)]
	at := t.nodes[cellOf(r, g, b):]
	return uint64(c.lowest)*at[0] + uint64(c.w1)*at[c.one] + uint64(c.w2)*at[c.two] + uint64(c.highest)*at[toRed+toGreen+toBlue]
}

// lookup is what a colour becomes.
func (t *colourTable) lookup(r, g, b uint8) (uint8, uint8, uint8) {
	const unit, half = sixteenth * gridStep, sixteenth * gridStep / 2
	w := t.weigh(r, g, b) + half<<(2*nodeBits) + half<<nodeBits + half
	return uint8(w >> (2 * nodeBits) / unit), uint8(w >> nodeBits & nodeMask / unit), uint8(w & nodeMask / unit)
}

// A lightGrid is how the light that falls on a canvas changes, in the middles of squares.
type lightGrid struct {
	box     image.Rectangle
	wide    int
	factors []float32 // of linear light, over that at the reference
}

const lightSquare = 16 // pixels

func newLightGrid(light imageio.Light, box image.Rectangle, scale float64) *lightGrid {
	g := &lightGrid{box: box, wide: box.Dx()/lightSquare + 2}
	high := box.Dy()/lightSquare + 2
	for y := range high {
		for x := range g.wide {
			at := imageio.Point{X: scale * (float64(box.Min.X) + lightSquare*float64(x)), Y: scale * (float64(box.Min.Y) + lightSquare*float64(y))}
			g.factors = append(g.factors, float32(math.Exp(light.Log(at))))
		}
	}
	return g
}

// at is the factor at a pixel; x counts from the box's left side.
func (g *lightGrid) at(x, y int) float32 {
	y -= g.box.Min.Y
	i := y/lightSquare*g.wide + x/lightSquare
	fx, fy := float32(x%lightSquare)/lightSquare, float32(y%lightSquare)/lightSquare
	upper := g.factors[i] + fx*(g.factors[i+1]-g.factors[i])
	lower := g.factors[i+g.wide] + fx*(g.factors[i+g.wide+1]-g.factors[i+g.wide])
	return upper + fy*(lower-upper)
}

// out takes the light out of a code, and in puts it back.
func (g *lightGrid) out(x, y int, r, gr, b uint8) (uint8, uint8, uint8) {
	if g == nil {
		return r, gr, b
	}
	return relit(1/g.at(x, y), r, gr, b)
}

func (g *lightGrid) in(x, y int, r, gr, b uint8) (uint8, uint8, uint8) {
	if g == nil {
		return r, gr, b
	}
	return relit(g.at(x, y), r, gr, b)
}

var linearCodes = sync.OnceValue(icc.SRGBTable8)

func relit(factor float32, r, g, b uint8) (uint8, uint8, uint8) {
	t := linearCodes()
	return screenCode(float64(factor * t[r])), screenCode(float64(factor * t[g])), screenCode(float64(factor * t[b]))
}

// A softMask says how far each pixel of a box belongs to an area.
type softMask struct {
	box   image.Rectangle
	alpha []uint8
}

func (m *softMask) row(y int) []uint8 {
	w := m.box.Dx()
	return m.alpha[(y-m.box.Min.Y)*w : (y-m.box.Min.Y+1)*w]
}

// mask is the area with a soft edge; nil where none of it is on the canvas.
func (c *Canvas) mask(ctx context.Context, o imageio.Outline, feather float64) (*softMask, error) {
	wide, high := c.Size()
	if feather == 0 {
		feather = float64(max(wide, high)) / 600
	}
	radius := int(max(0, feather) / 2)
	spans := c.scaled(o).Spans(wide, high)
	if len(spans) == 0 {
		return nil, nil
	}
	box := image.Rect(spans[0].X0, spans[0].Y, spans[0].X1, spans[0].Y+1)
	for _, s := range spans {
		box = box.Union(image.Rect(s.X0, s.Y, s.X1, s.Y+1))
	}
	box = box.Inset(-2 * radius).Intersect(c.img.Rect)
	m := &softMask{box: box, alpha: make([]uint8, box.Dx()*box.Dy())}
	for _, s := range spans {
		row := m.row(s.Y)
		for x := s.X0; x < s.X1; x++ {
			row[x-box.Min.X] = 255
		}
	}
	if radius > 0 {
		// Two means over a square make a slope without corners.
		for range 2 {
			if err := m.soften(ctx, radius); err != nil {
				return nil, err
			}
		}
		// The slope lies outside: what was outlined is coloured in full.
		for i, a := range m.alpha {
			m.alpha[i] = uint8(min(255, 2*int(a)))
		}
	}
	return m, nil
}

// soften takes the mean over a square of 2 radius + 1 pixels; what lies beyond the box counts as its
// edge, so that an area that ends with the picture does not fade there.
func (m *softMask) soften(ctx context.Context, radius int) error {
	w, h := m.box.Dx(), m.box.Dy()
	if err := parallel.Ranges(ctx, h, 32, func(from, to int) {
		line := make([]uint8, w)
		for y := from; y < to; y++ {
			row := m.alpha[y*w : (y+1)*w]
			copy(line, row)
			meanAlong(line, row, radius)
		}
	}); err != nil {
		return err
	}
	// Down the columns, many side by side: memory is read in its own order.
	was := slices.Clone(m.alpha)
	row := func(y int) []uint8 { y = min(max(y, 0), h-1); return was[y*w : (y+1)*w] }
	if err := parallel.Ranges(ctx, w, 256, func(from, to int) {
		sums := make([]uint32, to-from)
		for y := -radius; y <= radius; y++ {
			for i, a := range row(y)[from:to] {
				sums[i] += uint32(a)
			}
		}
		width := uint32(2*radius + 1)
		for y := range h {
			out, next, last := m.alpha[y*w+from:y*w+to], row(y + radius + 1)[from:to], row(y - radius)[from:to]
			for i := range out {
				out[i] = uint8((sums[i] + width/2) / width)
				sums[i] += uint32(next[i]) - uint32(last[i])
			}
		}
	}); err != nil {
		return err
	}
	return nil
}

// meanAlong writes running means of line to out.
func meanAlong(line, out []uint8, radius int) {
	n := len(line)
	at := func(i int) int { return int(line[min(max(i, 0), n-1)]) }
	sum := 0
	for i := -radius; i <= radius; i++ {
		sum += at(i)
	}
	width := 2*radius + 1
	for i := range n {
		if sum == 255*width || sum == 0 {
			out[i] = line[i] // all round it is one
		} else {
			out[i] = uint8((sum + width/2) / width)
		}
		sum += at(i+radius+1) - at(i-radius)
	}
}
