package lattice

import (
	"math"

	"huewright/imageio"
	"huewright/imageio/internal/blob"
	"huewright/imageio/internal/plane"
)

const (
	// astray is how far from its place a patch may be, in pitches, while the lattice grows from one to the
	// next; astrayOnPlane is the same once all lie on one plane.
	astray, astrayOnPlane = 0.28, 0.15
	// mostCells bounds the growing. A card of 140 patches is 14 cells long.
	mostCells = 16
)

// A step leads to a cell from the one before it in a direction: one cell along a row or a column.
type step struct{ to, direction Cell }

// grow builds the lattice that has seed at its origin and the pair beside it.
func (n *neighbourhood) grow(seed int, pair [2]int) Lattice {
	l := Lattice{At: map[Cell]int{{0, 0}: seed, {1, 0}: pair[0], {0, 1}: pair[1]}}
	used := map[int]bool{seed: true, pair[0]: true, pair[1]: true}
	steps := map[step]imageio.Point{}
	first := [2]imageio.Point{n.offset(seed, pair[0]), n.offset(seed, pair[1])}
	queue := []Cell{{0, 0}, {1, 0}, {0, 1}}
	for len(queue) > 0 {
		c := queue[0]
		queue = queue[1:]
		from := l.At[c]
		for _, way := range [4]Cell{{1, 0}, {0, 1}, {-1, 0}, {0, -1}} {
			next := Cell{c.Column + way.Column, c.Row + way.Row}
			if _, done := l.At[next]; done || max(next.Column, -next.Column, next.Row, -next.Row) > mostCells {
				continue
			}
			expected := expectedStep(steps, first, c, way)
			// Seen at a slant, the step scales with the patch.
			best, least := -1, astray*math.Hypot(expected.X, expected.Y)
			for _, k := range n.near[from] {
				if used[k] {
					continue
				}
				at, o := n.blobs[k].At, n.blobs[from].At
				if off := math.Hypot(at.X-o.X-expected.X, at.Y-o.Y-expected.Y); off < least {
					best, least = k, off
				}
			}
			if best < 0 {
				continue
			}
			l.At[next], used[best] = best, true
			steps[step{next, way}] = n.offset(from, best)
			queue = append(queue, next)
		}
	}
	if len(l.At) < LeastPatches {
		return Lattice{}
	}
	return n.settle(l)
}

// expectedStep returns the offset to the next blob from cell c in one direction: the nearest that is known in
// that direction already, or that from the seed to one of its pair.
func expectedStep(steps map[step]imageio.Point, first [2]imageio.Point, c, way Cell) imageio.Point {
	for _, to := range [2]Cell{c, {c.Column - way.Column, c.Row - way.Row}} {
		if s, ok := steps[step{to, way}]; ok {
			return s
		}
	}
	s := first[0]
	if way.Row != 0 {
		s = first[1]
	}
	if way.Column+way.Row < 0 {
		s = imageio.Point{X: -s.X, Y: -s.Y}
	}
	return s
}

// settle puts a lattice on one plane: blobs off it go, others that lie on it come, also across a cell where
// none was seen.
func (n *neighbourhood) settle(l Lattice) Lattice {
	for range 4 {
		var places, seen []imageio.Point
		for c, i := range l.At {
			places = append(places, imageio.Point{X: float64(c.Column), Y: float64(c.Row)})
			seen = append(seen, n.blobs[i].At)
		}
		h, ok := plane.Fit(places, seen)
		if !ok {
			return Lattice{}
		}
		lo, hi := l.Bounds()
		lo, hi = Cell{lo.Column - 2, lo.Row - 2}, Cell{hi.Column + 2, hi.Row + 2}
		next := Lattice{At: map[Cell]int{}, Plane: h}
		off := map[Cell]float64{}
		for _, i := range n.within(&h, lo, hi) {
			u, v, ok := h.Inverse(n.blobs[i].At)
			c := Cell{int(math.Round(u)), int(math.Round(v))}
			if !ok || h.Depth(u, v) <= 0.05 || c.Column < lo.Column || c.Row < lo.Row || c.Column > hi.Column || c.Row > hi.Row {
				continue
			}
			d := math.Hypot(u-float64(c.Column), v-float64(c.Row))
			if before, taken := off[c]; d > astrayOnPlane || !fits(&n.blobs[i], &h, c) || taken && before <= d {
				continue
			}
			next.At[c], off[c] = i, d
		}
		if len(next.At) < LeastPatches {
			return Lattice{}
		}
		same := len(next.At) == len(l.At)
		l = next
		if same {
			break
		}
	}
	return l
}

// within lists the blobs that may lie in the cells from lo to hi, and others.
func (n *neighbourhood) within(h *plane.Homography, lo, hi Cell) []int {
	left, right, top, bottom := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, corner := range [4]Cell{lo, {hi.Column, lo.Row}, hi, {lo.Column, hi.Row}} {
		// Half a cell more, so that places that round to the last cells are in.
		u := float64(corner.Column) + math.Copysign(0.5, float64(2*corner.Column-lo.Column-hi.Column))
		v := float64(corner.Row) + math.Copysign(0.5, float64(2*corner.Row-lo.Row-hi.Row))
		if h.Depth(u, v) <= 0 {
			return n.along // over the horizon
		}
		at := h.Point(u, v)
		left, right = min(left, at.X), max(right, at.X)
		top, bottom = min(top, at.Y), max(bottom, at.Y)
	}
	var list []int
	for _, i := range n.between(left, right) {
		if y := n.blobs[i].At.Y; y >= top && y <= bottom {
			list = append(list, i)
		}
	}
	return list
}

// fits reports whether a blob is about as large as a patch in a cell would look.
func fits(b *blob.Blob, h *plane.Homography, c Cell) bool {
	u, v := float64(c.Column), float64(c.Row)
	o, right, down := h.Point(u, v), h.Point(u+0.5, v), h.Point(u, v+0.5)
	area := 4 * math.Abs((right.X-o.X)*(down.Y-o.Y)-(right.Y-o.Y)*(down.X-o.X)) // of a whole pitch
	side := math.Sqrt(b.Area) + smeared
	return side*side > area/(farthestPitch*farthestPitch) && side*side < 1.3*area
}
