package region

import (
	"cmp"
	"math"
	"slices"

	"huewright/imageio"
)

// A Mask is what taps were grown to.
type Mask struct {
	cells *Cells
	in    []bool // by cell
}

// Contains reports whether a place on the photo is in the mask.
func (m *Mask) Contains(p imageio.Point) bool {
	c := m.cells
	x, y := int(math.Floor(p.X/c.step)), int(math.Floor(p.Y/c.step))
	return x >= 0 && y >= 0 && x < c.wide && y < c.high && m.in[c.of[y*c.wide+x]]
}

const (
	mostCorners = 1500 // of an outline: as text it may have some more
	mostOff     = 8    // pixels of the small picture by which an outline may miss the mask, to have no more corners

	leastPart = 0.01 // of the mask: smaller parts are left out
	leastHole = 1e-4 // of the photo: smaller holes are filled
)

// Outline is a mask as polygons with holes, the largest first, drawn in by so many pixels of the photo; without points where nothing is
// left. It covers the mask to about two pixels of the photo for each million that it has.
func (m *Mask) Outline(drawnIn float64) imageio.Outline {
	c := m.cells
	g := newGrid(c.wide, c.high, func(x, y int) bool { return m.in[c.of[y*c.wide+x]] })
	g.shrink(int(math.Round(drawnIn / c.step)))
	g.closeCorners()
	size := func(ring []imageio.Point) float64 { return imageio.Outline{Points: ring}.Area() }
	larger := func(a, b []imageio.Point) int { return cmp.Compare(size(b), size(a)) }
	parts, most := g.rings(), 0.0
	for _, rings := range parts {
		slices.SortStableFunc(rings, larger) // the first is the one that goes round the others
		most = max(most, size(rings[0]))
	}
	slices.SortStableFunc(parts, func(a, b [][]imageio.Point) int { return larger(a[0], b[0]) })
	var o imageio.Outline
	for off := 1.0; ; off *= 1.5 {
		o = imageio.Outline{}
		corners := 0
		fewer := func(ring []imageio.Point) []imageio.Point {
			ring = simple(ring, off)
			corners += len(ring)
			return ring
		}
		for i, rings := range parts {
			switch {
			case size(rings[0]) < leastPart*most:
				continue
			case i == 0:
				o.Points = fewer(rings[0])
			default:
				o.More = append(o.More, fewer(rings[0]))
			}
			for _, hole := range rings[1:] {
				if size(hole) > leastHole*float64(c.wide*c.high) {
					o.Holes = append(o.Holes, fewer(hole))
				}
			}
		}
		if corners <= mostCorners || off > mostOff {
			break
		}
	}
	return o.Mapped(func(p imageio.Point) imageio.Point { // whole pixels of the photo, within it
		return imageio.Point{
			X: min(math.Round(c.step*p.X), float64(c.photo[0])), Y: min(math.Round(c.step*p.Y), float64(c.photo[1])),
		}
	})
}

// A grid is the pixels of a mask, with an empty margin of one all round.
type grid struct {
	wide, high int
	in         []bool
}

func newGrid(wide, high int, in func(x, y int) bool) *grid {
	g := &grid{wide: wide + 2, high: high + 2}
	g.in = make([]bool, g.wide*g.high)
	for y := range high {
		for x := range wide {
			g.in[(y+1)*g.wide+x+1] = in(x, y)
		}
	}
	return g
}

// shrink takes off the pixels beside the edge, so many times. The edge of the photo is none.
func (g *grid) shrink(times int) {
	for range times {
		was := slices.Clone(g.in)
		for y := 1; y < g.high-1; y++ {
			for x := 1; x < g.wide-1; x++ {
				i := y*g.wide + x
				g.in[i] = was[i] && (x == 1 || was[i-1]) && (x == g.wide-2 || was[i+1]) && (y == 1 || was[i-g.wide]) && (y == g.high-2 || was[i+g.wide])
			}
		}
	}
}

// closeCorners fills in where two pixels touch by a corner alone, so that no ring meets itself.
func (g *grid) closeCorners() {
	for again := true; again; {
		again = false
		for i := 0; i+g.wide+1 < len(g.in); i++ {
			a, b, c, d := &g.in[i], &g.in[i+1], &g.in[i+g.wide], &g.in[i+g.wide+1]
			if *a == *d && *b == *c && *a != *b {
				if i%g.wide == 0 || i < g.wide || i%g.wide >= g.wide-2 || i/g.wide >= g.high-2 { // the margin stays empty
					*a, *b, *c, *d = false, false, false, false
				} else {
					*a, *b, *c, *d = true, true, true, true
				}
				again = true
			}
		}
	}
}

// rings are the borders of each part that hangs together, as corners of pixels of the small picture: one round it, and one round each hole.
func (g *grid) rings() (parts [][][]imageio.Point) {
	part := g.parts()
	sides := [4]struct{ beside, from, to int }{ // clockwise round a pixel: what lies beside, and the corners of its side
		{-g.wide, 0, 1}, {1, 1, g.wide + 1}, {g.wide, g.wide + 1, g.wide}, {-1, g.wide, 0},
	}
	next, of, starts := map[int]int{}, map[int]int{}, []int(nil)
	for i, in := range g.in {
		if !in {
			continue
		}
		for _, s := range sides {
			if !g.in[i+s.beside] {
				next[i+s.from], of[i+s.from] = i+s.to, part[i]
				starts = append(starts, i+s.from)
			}
		}
	}
	for _, start := range starts {
		var ring []imageio.Point
		for at := start; ; {
			to, left := next[at]
			if !left {
				break
			}
			delete(next, at)
			ring = append(ring, imageio.Point{X: float64(at%g.wide - 1), Y: float64(at/g.wide - 1)})
			at = to
		}
		if len(ring) > 0 {
			for len(parts) <= of[start] {
				parts = append(parts, nil)
			}
			parts[of[start]] = append(parts[of[start]], ring)
		}
	}
	return parts
}

// parts numbers the pixels that hang together, by rows: where a pixel joins two parts, both are known for one.
func (g *grid) parts() []int {
	part, one := make([]int, len(g.in)), []int(nil) // of each part one that it is known for, itself or an earlier one
	known := func(k int) int {
		for one[k] != k {
			one[k] = one[one[k]]
			k = one[k]
		}
		return k
	}
	for i, in := range g.in {
		if !in {
			continue
		}
		left, above := g.in[i-1], g.in[i-g.wide]
		switch {
		case left && above:
			a, b := known(part[i-1]), known(part[i-g.wide])
			part[i] = min(a, b)
			one[max(a, b)] = part[i]
		case left:
			part[i] = part[i-1]
		case above:
			part[i] = part[i-g.wide]
		default:
			part[i] = len(one)
			one = append(one, part[i])
		}
	}
	number, count := make([]int, len(one)), 0
	for k := range one {
		if one[k] == k {
			number[k] = count
			count++
		}
	}
	for i, in := range g.in {
		if in {
			part[i] = number[known(part[i])]
		}
	}
	return part
}

// simple is a ring with fewer corners: none that is left out was farther off than so many pixels, or as much less as keeps its sides from
// crossing.
func simple(ring []imageio.Point, off float64) []imageio.Point {
	for _, off := range []float64{off, 0.75 * off, 0.5} {
		if out := thinned(ring, off); (imageio.Outline{Points: out}).Check() == nil {
			return out
		}
	}
	return thinned(ring, 0)
}

// thinned leaves out the corners of a ring that lie within off of the line between those that stay. Source: Douglas and Peucker (1973),
// doi:10.3138/FM57-6770-U75U-7727.
func thinned(ring []imageio.Point, off float64) []imageio.Point {
	far := 0 // the ring is cut where it is farthest from its first corner
	for i, p := range ring {
		if math.Hypot(p.X-ring[0].X, p.Y-ring[0].Y) > math.Hypot(ring[far].X-ring[0].X, ring[far].Y-ring[0].Y) {
			far = i
		}
	}
	keep := make([]bool, len(ring)+1)
	keep[0], keep[far], keep[len(ring)] = true, true, true
	at := func(i int) imageio.Point { return ring[i%len(ring)] }
	var split func(from, to int)
	split = func(from, to int) {
		a, b, worst, most := at(from), at(to), -1, off
		long := math.Hypot(b.X-a.X, b.Y-a.Y)
		for i := from + 1; i < to; i++ {
			p := at(i)
			d := math.Hypot(p.X-a.X, p.Y-a.Y)
			if long > 0 {
				d = math.Abs((b.X-a.X)*(p.Y-a.Y)-(b.Y-a.Y)*(p.X-a.X)) / long
			}
			if d > most {
				worst, most = i, d
			}
		}
		if worst >= 0 {
			keep[worst] = true
			split(from, worst)
			split(worst, to)
		}
	}
	split(0, far)
	split(far, len(ring))
	var out []imageio.Point
	for i, k := range keep[:len(ring)] {
		if k {
			out = append(out, ring[i])
		}
	}
	return out
}
