package region

import (
	"iter"
	"math"

	"huewright/internal/stat"
)

// An edge is where two cells touch.
type edge struct {
	a, b   int
	length float64 // pixels
	unlike float64 // how far apart the pixels on its two sides are, in units of apartSD; mean
	apart  difference
}

// apartSD is how far apart two places of one wood usually are, by feature. Lightness says least: light changes over a piece.
var apartSD = vector{redGreen: 0.05, blueGreen: 0.07, lightness: 0.60, contrast: 0.45}

// inShade is how the features of one wood change with lightness, for each unit of ln luminance. Where a wood is darker it is redder: light
// comes to it from other wood, there is less gloss, and its late wood is both. Measured within each of 14 regions outlined by hand and 12
// drawn woods it was mostly −0.1 to −0.5; blue has no such slope.
var inShade = vector{redGreen: -0.2}

// connect finds the cells that touch.
func (c *Cells) connect(s *small) {
	at := map[[2]int32]int{}
	add := func(i, j int) {
		a, b := c.of[i], c.of[j]
		if a == b {
			return
		}
		if a > b {
			a, b = b, a
		}
		k, known := at[[2]int32{a, b}]
		if !known {
			k = len(c.edges)
			at[[2]int32{a, b}] = k
			c.edges = append(c.edges, edge{a: int(a), b: int(b)})
		}
		e, sum := &c.edges[k], 0.0
		for f := range s.of {
			d := float64(s.of[f][i]-s.of[f][j]) / apartSD[f]
			sum += d * d
		}
		e.length, e.unlike = e.length+1, e.unlike+math.Sqrt(sum)
	}
	for i := range c.of {
		if i%c.wide < c.wide-1 {
			add(i, i+1)
		}
		if i/c.wide < c.high-1 {
			add(i, i+c.wide)
		}
	}
	c.touching = make([][]int, len(c.cells))
	for k := range c.edges {
		e := &c.edges[k]
		e.unlike /= e.length
		e.apart = c.difference(e.a, e.b)
		c.touching[e.a], c.touching[e.b] = append(c.touching[e.a], k), append(c.touching[e.b], k)
	}
}

// other is the cell on the other side of an edge.
func (e *edge) other(k int) int { return e.a + e.b - k }

// A difference is how unlike two cells are beyond what shade does to one wood: the square, in units of apartSD, in hue, and in lightness
// and contrast.
type difference [2]float64

func (c *Cells) difference(a, b int) (of difference) {
	x, y := &c.cells[a].mean, &c.cells[b].mean
	light := x[lightness] - y[lightness]
	for f := range features {
		d := (x[f] - y[f] - inShade[f]*light) / apartSD[f]
		of[f/lightness] += d * d
	}
	return of
}

// apart is how unlike two cells are, in units of apartSD.
func (c *Cells) apart(a, b int) float64 { return c.difference(a, b).root() }

func (d difference) root() float64 { return math.Sqrt(d[0] + d[1]) }

// What a step to the next cell costs though it looks the same.
const (
	aStep = 0.01
	aJump = 0.5 // across another
	alike = 1.0 // how unlike cells may be of which one is reached from the other so
)

// forgiven is how many times the usual difference near the taps another may be and be half forgiven.
const forgiven = 8.0

// slight is the difference of which half is forgiven: so many times that of cells near some others that touch, the lower quartile, which is
// grain, mouldings and gloss, but no edge that a tap happens to be beside.
func (c *Cells) slight(near []int) (slight difference) {
	const hops = 3
	seen := map[int]bool{}
	var of [len(slight)][]float64
	for range hops {
		var next []int
		for _, k := range near {
			for _, i := range c.touching[k] {
				if seen[i] {
					continue
				}
				seen[i] = true
				next = append(next, c.edges[i].other(k))
				for f, d := range c.edges[i].apart {
					of[f] = append(of[f], d)
				}
			}
		}
		near = next
	}
	for f := range slight {
		if len(of[f]) > 0 {
			slight[f] = forgiven * stat.Quantile(of[f], 0.25)
		}
	}
	return slight
}

// cost is what is left of a difference when what is slight is forgiven.
func (d difference) cost(slight difference) (cost float64) {
	for f, v := range d {
		if v > 0 {
			cost += v * v / (v + slight[f])
		}
	}
	return cost
}

// steps are the cells that one step leads to, and what it costs: those that touch, and across one other, such as the dark gap beside a
// door, those that look alike.
func (c *Cells) steps(from int, slight difference) iter.Seq2[int, float64] {
	return func(yield func(int, float64) bool) {
		for _, i := range c.touching[from] {
			n := c.edges[i].other(from)
			if !yield(n, aStep+c.edges[i].apart.cost(slight)) {
				return
			}
			for _, j := range c.touching[n] {
				if over := c.edges[j].other(n); over != from {
					if d := c.apart(from, over); d < alike && !yield(over, aJump+d*d) {
						return
					}
				}
			}
		}
	}
}

// reach returns for every cell the least that a way to it from one of some cells costs: the sum of how unlike each is to the next, squared,
// so that many small steps, as of light that falls off, cost less than one edge. What is slight is forgiven, in hue and in lightness by
// itself: else grain over a long way would cost as much as an edge, or strong grain would let an edge between two hues pass.
func (c *Cells) reach(from []int, slight difference) []float64 {
	cost := make([]float64, len(c.cells))
	for i := range cost {
		cost[i] = math.Inf(1)
	}
	front := queue[way]{before: func(a, b *way) bool { return a.cost < b.cost }}
	for _, k := range from {
		cost[k] = 0
		front.put(way{k, 0})
	}
	for len(front.all) > 0 {
		w := front.take()
		if w.cost > cost[w.to] {
			continue
		}
		for n, step := range c.steps(w.to, slight) {
			if next := w.cost + step; next < cost[n] {
				cost[n] = next
				front.put(way{n, next})
			}
		}
	}
	return cost
}

// A way leads to a cell.
type way struct {
	to   int
	cost float64
}
