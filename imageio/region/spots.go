package region

import (
	"cmp"
	"math"
	"slices"
)

// When a patch within a wood is no part of it: our own choice, tried on drawn cabinets.
const (
	leastSpot   = 0.008 // of the mask: smaller patches are left in
	mostSpot    = 0.15
	leastOfSpot = 5      // cells
	mostHops    = 4      // cells that the wood round a patch is wide
	leastRing   = 10     // cells of the usual size that it has, where there are so many
	offGrain    = 3.5    // standard deviations across the grain's line beyond which a patch is something else
	leastOff    = 0.0135 // the standard deviation across it that cells of one wood have at least
	nearBest    = 0.75   // of the most that a patch in it is off: the larger patch is taken
)

// A grainLine is the line in ln R/G and ln B/G along which the colours of one wood vary: between early and late wood, or from ribbon to
// ribbon. Filler, paint and stains seldom lie on it, even where they are nearer to the wood's mean than its own late wood.
type grainLine struct {
	x, y          float64 // its direction, of length 1
	along, across float64 // standard deviations of a cell
}

// grain is the first principal axis of how cells that touch differ. Light that falls off, and boards of other colours, hardly turn it.
func (c *Cells) grain(in []bool) grainLine {
	var xx, xy, yy float64
	most := math.Inf(1) // squared: beyond three standard deviations is no grain but an edge
	for range 3 {
		var sxx, sxy, syy, n float64
		for i := range c.edges {
			e := &c.edges[i]
			if !in[e.a] || !in[e.b] {
				continue
			}
			a, b := &c.cells[e.a], &c.cells[e.b]
			x, y := a.mean[redGreen]-b.mean[redGreen], a.mean[blueGreen]-b.mean[blueGreen]
			if x*x+y*y > most {
				continue
			}
			w := float64(min(a.size, b.size))
			sxx, sxy, syy, n = sxx+w*x*x, sxy+w*x*y, syy+w*y*y, n+2*w
		}
		if n == 0 {
			break
		}
		xx, xy, yy = sxx/n, sxy/n, syy/n
		most = 18 * (xx + yy)
	}
	sin, cos := math.Sincos(math.Atan2(2*xy, xx-yy) / 2)
	middle, half := (xx+yy)/2, math.Hypot((xx-yy)/2, xy)
	return grainLine{cos, sin, math.Sqrt(middle + half), math.Sqrt(max(0, middle-half))}
}

// off is where a colour lies along the line and across it.
func (g grainLine) off(mean vector) (along, across float64) {
	return g.x*mean[redGreen] + g.y*mean[blueGreen], g.x*mean[blueGreen] - g.y*mean[redGreen]
}

// A patch is cells that hang together.
type patch struct {
	cells   []int
	size    float64
	sum     vector // of the means of its pixels
	beside  map[int]bool
	changed int // how often it has grown; −1 where it has become part of another
}

func (p *patch) mean() (mean vector) {
	for f, v := range p.sum {
		mean[f] = v / p.size
	}
	return mean
}

// A spot is a patch within a wood that looks unlike the wood round it.
type spot struct {
	cells []int
	off   float64 // across the grain's line, in standard deviations
}

// withoutSpots leaves out of a wood the patches whose colour is off the line along which the wood varies, and which vary less than the
// wood round them: filler and old repairs. A patch that was tapped stays.
func (c *Cells) withoutSpots(in []bool, yes []int) []bool {
	spots := c.spots(in)
	slices.SortStableFunc(spots, func(a, b spot) int { return cmp.Compare(b.off, a.off) })
	out, looked := slices.Clone(in), make([]bool, len(in))
	is := func(marks []bool) func(int) bool { return func(k int) bool { return marks[k] } }
	for _, best := range spots {
		if slices.ContainsFunc(best.cells, is(looked)) {
			continue
		}
		for _, s := range spots {
			if s.off > nearBest*best.off && len(s.cells) > len(best.cells) && slices.Contains(s.cells, best.cells[0]) &&
				!slices.ContainsFunc(s.cells, is(looked)) {
				best = s
			}
		}
		tapped := slices.ContainsFunc(best.cells, func(k int) bool { return slices.Contains(yes, k) })
		for _, k := range best.cells {
			looked[k] = true
			out[k] = tapped
		}
	}
	return out
}

// spots are the patches within a wood that are no part of it, some of them parts of others: those among all that arise while cells that
// look most alike are joined, two patches at a time, until all is one. Source: Ward (1963), doi:10.1080/01621459.1963.10500845.
func (c *Cells) spots(in []bool) (spots []spot) {
	line := c.grain(in)
	patches := c.single(in)
	all := 0.0
	for _, p := range patches {
		all += p.size
	}
	seen := make([]int, len(c.cells)) // by the number of the patch whose surroundings were looked at last
	looked := 0
	joins := queue[join]{before: (*join).before}
	push := func(a, b int) {
		p, q := patches[a], patches[b]
		along, across := line.off(p.mean())
		along2, across2 := line.off(q.mean())
		unlike := math.Hypot((along-along2)/(2*line.along+0.01), (across-across2)/(line.across+0.01))
		dark := (p.sum[lightness]/p.size - q.sum[lightness]/q.size) / (2 * leastSD[lightness])
		cost := (unlike*unlike + dark*dark) * p.size * q.size / (p.size + q.size)
		joins.put(join{cost, a, b, p.changed, q.changed})
	}
	for a, p := range patches {
		for b := range p.beside {
			if a < b {
				push(a, b)
			}
		}
	}
	for len(joins.all) > 0 {
		j := joins.take()
		into, from := patches[j.a], patches[j.b]
		if into.changed != j.changedA || from.changed != j.changedB {
			continue
		}
		for _, p := range []*patch{into, from} {
			if len(p.cells) >= leastOfSpot && p.size >= leastSpot*all && p.size <= mostSpot*all {
				looked++
				if s, is := c.spot(in, p, line, seen, looked); is {
					spots = append(spots, s)
				}
			}
		}
		into.take(from)
		for n := range from.beside {
			delete(patches[n].beside, j.b)
			if n != j.a {
				into.beside[n], patches[n].beside[j.a] = true, true
			}
		}
		for n := range into.beside {
			push(j.a, n)
		}
	}
	return spots
}

// single are the cells of a wood as patches of one cell each.
func (c *Cells) single(in []bool) (patches []*patch) {
	of := map[int]int{}
	for k := range in {
		if !in[k] {
			continue
		}
		x := &c.cells[k]
		p := &patch{cells: []int{k}, size: float64(x.size), beside: map[int]bool{}}
		for f, v := range x.mean {
			p.sum[f] = p.size * v
		}
		of[k] = len(patches)
		patches = append(patches, p)
	}
	for i := range c.edges {
		if e := &c.edges[i]; in[e.a] && in[e.b] {
			a, b := of[e.a], of[e.b]
			patches[a].beside[b], patches[b].beside[a] = true, true
		}
	}
	return patches
}

func (p *patch) take(from *patch) {
	p.cells = append(p.cells, from.cells...) // spots that were found before keep their part of it
	p.size += from.size
	for f, v := range from.sum {
		p.sum[f] += v
	}
	p.changed++
	from.changed = -1
}

// spot compares a patch with the wood round it, and reports whether it is a spot. A patch with hardly any wood round it is none. In seen
// cells are marked by the number of the patch.
func (c *Cells) spot(in []bool, p *patch, line grainLine, seen []int, number int) (spot, bool) {
	ring, size := c.around(in, p, seen, number)
	if size < p.size/2 {
		return spot{}, false
	}
	patch, wood := c.spread(p.cells, line), c.spread(ring, line)
	sd := math.Sqrt((p.size*patch.across2+size*wood.across2)/(p.size+size) + leastOff*leastOff)
	s := spot{p.cells, math.Abs(patch.across-wood.across) / sd}
	return s, s.off > offGrain && patch.along2+patch.across2 < wood.along2+wood.across2
}

// around is the wood round a patch, as far as mostHops cells from it, and its size.
func (c *Cells) around(in []bool, p *patch, seen []int, number int) (ring []int, size float64) {
	usual := c.usual()
	for _, k := range p.cells {
		seen[k] = number
	}
	front := p.cells
	for hop := 0; hop < mostHops && size < max(p.size, leastRing*usual); hop++ {
		var next []int
		for _, k := range front {
			for _, i := range c.touching[k] {
				if n := c.edges[i].other(k); in[n] && seen[n] != number {
					seen[n] = number
					next, size = append(next, n), size+float64(c.cells[n].size)
				}
			}
		}
		ring, front = append(ring, next...), next
	}
	return ring, size
}

// A spreadOf is the mean and the variance of cells along the grain's line and across it.
type spreadOf struct{ along, across, along2, across2 float64 }

func (c *Cells) spread(cells []int, line grainLine) (s spreadOf) {
	n := 0.0
	for _, k := range cells {
		w := float64(c.cells[k].size)
		along, across := line.off(c.cells[k].mean)
		n += w
		s.along, s.across, s.along2, s.across2 = s.along+w*along, s.across+w*across, s.along2+w*along*along, s.across2+w*across*across
	}
	s.along, s.across = s.along/n, s.across/n
	s.along2, s.across2 = max(0, s.along2/n-s.along*s.along), max(0, s.across2/n-s.across*s.across)
	return s
}

// A join is of two patches, as they were when it was thought of.
type join struct {
	cost               float64
	a, b               int
	changedA, changedB int
}

// before puts the cheapest first, and of equal ones that of the lower numbers.
func (j *join) before(other *join) bool {
	switch {
	case j.cost != other.cost:
		return j.cost < other.cost
	case j.a != other.a:
		return j.a < other.a
	}
	return j.b < other.b
}
