package slip

import "huewright/imageio"

// A component is dark runs that touch one another.
type component struct {
	x0, y0, x1, y1 int32 // its bounds
	pixels         int32
	number         int32 // among those that may be a frame, from 1; 0 for others
}

// Of a frame with its cells, as seen by a level. Our own choice: face on a frame of few or many cells fills 0.38 to 0.49 of the
// square round it, slanted or turned less, and more where it is out of focus.
const (
	shortestSide, longestFrame = 14, 400
	leastFilled, mostFilled    = 0.10, 0.85
	mostAspect                 = 4
)

func (c *component) mayBeFrame() bool {
	wide, high := c.x1-c.x0, c.y1-c.y0
	filled := float64(c.pixels) / float64(wide*high)
	return min(wide, high) >= shortestSide && max(wide, high) <= longestFrame &&
		filled >= leastFilled && filled <= mostFilled && wide < mostAspect*high && high < mostAspect*wide
}

// components joins runs that touch, corners included, and returns the ends of the rows of each component that may be a frame, from
// top to bottom: places on its outline.
//
// Source: Rosenfeld, Pfaltz (1966), J. ACM 13(4), 471–494, on runs instead of pixels.
func components(runs []run) [][]imageio.Point {
	parent := parentsUsed.take(len(runs))
	defer parentsUsed.putBack(parent)
	root := func(i int32) int32 {
		for parent[i] != i {
			parent[i] = parent[parent[i]]
			i = parent[i]
		}
		return i
	}
	above, rowStart := 0, 0
	for i, r := range runs {
		parent[i] = int32(i)
		if i > 0 && runs[i-1].y != r.y {
			above, rowStart = rowStart, i
			if runs[i-1].y != r.y-1 {
				above = i
			}
		}
		for above < rowStart && runs[above].to < r.from {
			above++
		}
		for k := above; k < rowStart && runs[k].from <= r.to; k++ {
			if a, b := root(int32(k)), root(int32(i)); a < b {
				parent[b] = a
			} else {
				parent[a] = b
			}
		}
	}
	// Each run's component takes the place of its parent: a root comes before what hangs on it.
	all := componentsUsed.take(0)
	for i, r := range runs {
		if up := parent[i]; int(up) == i {
			parent[i] = int32(len(all))
			all = append(all, component{x0: int32(r.from), y0: int32(r.y), x1: int32(r.to)})
		} else {
			parent[i] = parent[up]
		}
		c := &all[parent[i]]
		c.x0, c.x1, c.y1 = min(c.x0, int32(r.from)), max(c.x1, int32(r.to)), int32(r.y)+1
		c.pixels += int32(r.to - r.from)
	}
	defer func() { componentsUsed.putBack(all) }()
	return endsOf(runs, all, parent)
}

// endsOf are those of the rows of each component that may be a frame, from top to bottom; which component each run is of is given.
func endsOf(runs []run, all []component, of []int32) (ends [][]imageio.Point) {
	for i := range all {
		if c := &all[i]; c.mayBeFrame() {
			ends = append(ends, make([]imageio.Point, 0, 2*(c.y1-c.y0)))
			c.number = int32(len(ends))
		}
	}
	for i, r := range runs {
		k := all[of[i]].number
		if k == 0 {
			continue
		}
		y, row := float64(r.y)+0.5, ends[k-1]
		if n := len(row); n > 0 && row[n-1].Y == y {
			row[n-1].X = float64(r.to)
			continue
		}
		ends[k-1] = append(row, imageio.Point{X: float64(r.from), Y: y}, imageio.Point{X: float64(r.to), Y: y})
	}
	return ends
}

var (
	parentsUsed    shelf[int32]
	componentsUsed shelf[component]
)
