package chart

import (
	"cmp"
	"math"
	"slices"

	"huewright/imageio"
	"huewright/imageio/internal/blob"
)

// A cell is a place in a lattice of patches.
type cell struct{ column, row int }

// A lattice is blobs that lie like the patches of a card, seen from anywhere. Cells count
// from the blob it was begun at, so they may be negative.
type lattice struct {
	at    map[cell]int // to the blob
	plane gridPlane
}

const (
	// A patch's neighbours lie between these many of its sides away, centre to centre.
	nearestPitch, farthestPitch = 0.85, 2.0
	// unlike is how many times larger one patch may look than the next.
	unlike = 2.6
	// astray is how far from its place a patch may be, in pitches: while the lattice grows
	// from one to the next, and once all lie on one plane.
	astray, astrayOnPlane = 0.28, 0.15
	// leastLattice is how many patches make one worth a look.
	leastLattice = 8
	// mostCells bounds the growing. A card of 140 patches is 14 cells long.
	mostCells = 16
)

// lattices finds them among blobs, the largest first.
func lattices(blobs []blob.Blob) []lattice {
	along := byX(blobs)
	near := neighbours(blobs, along)
	taken := make([]bool, len(blobs))
	var found []lattice
	for _, seed := range bySize(blobs) {
		if taken[seed] {
			continue
		}
		best := lattice{}
		for _, pair := range corners(blobs, near, seed) {
			if l := grow(blobs, along, near, seed, pair); len(l.at) > len(best.at) {
				best = l
			}
		}
		if len(best.at) < leastLattice {
			continue
		}
		for _, i := range best.at {
			taken[i] = true
		}
		found = append(found, best)
	}
	slices.SortStableFunc(found, func(a, b lattice) int { return len(b.at) - len(a.at) })
	return separate(found, len(blobs))
}

// separate drops lattices of which most was found before.
func separate(all []lattice, blobs int) []lattice {
	taken := make([]bool, blobs)
	return slices.DeleteFunc(all, func(l lattice) bool {
		again := 0
		for _, i := range l.at {
			if taken[i] {
				again++
			}
			taken[i] = true
		}
		return 3*again > len(l.at)
	})
}

func bySize(blobs []blob.Blob) []int {
	order := make([]int, len(blobs))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return int(blobs[b].Area - blobs[a].Area) })
	return order
}

// smeared is what the edge of a patch loses, in pixels of a side: the rough ones at its rim.
const smeared = 1.5

// squared is an offset in units of the blob's own sides: what makes its covariance that of a
// unit square. How that square is turned stays open, but right angles and equal lengths on
// the card are so again.
func squared(b *blob.Blob, d imageio.Point) imageio.Point {
	side := math.Sqrt(b.Area)
	scale := math.Sqrt(12) * (side + smeared) / side
	// Lower Cholesky factor of the covariance.
	l11 := math.Sqrt(b.XX)
	l21 := b.XY / l11
	l22 := math.Sqrt(max(b.YY-l21*l21, 1e-9))
	u := d.X / l11
	return imageio.Point{X: u / scale, Y: (d.Y - l21*u) / l22 / scale}
}

// byX lists blobs from left to right.
func byX(blobs []blob.Blob) []int {
	along := make([]int, len(blobs))
	for i := range along {
		along[i] = i
	}
	slices.SortFunc(along, func(a, b int) int {
		return cmp.Or(cmp.Compare(blobs[a].At.X, blobs[b].At.X), a-b)
	})
	return along
}

// fromTo is the part of a list from left to right that lies between two places.
func fromTo(blobs []blob.Blob, along []int, left, right float64) []int {
	place := func(i int, x float64) int { return cmp.Compare(blobs[i].At.X, x) }
	from, _ := slices.BinarySearchFunc(along, left, place)
	to, _ := slices.BinarySearchFunc(along, right, place)
	return along[from:max(from, to)]
}

// neighbours lists, for each blob, those that may lie beside it on a card. The blobs are also
// given from left to right.
func neighbours(blobs []blob.Blob, along []int) [][]int {
	const most = 12
	near := make([][]int, len(blobs))
	for k, i := range along {
		for _, j := range along[k+1:] {
			a, b := &blobs[i], &blobs[j]
			d := imageio.Point{X: b.At.X - a.At.X, Y: b.At.Y - a.At.Y}
			if reach := 2 * farthestPitch * (math.Sqrt(a.Area) + smeared); d.X > reach {
				break
			} else if math.Abs(d.Y) > reach || a.Area > unlike*b.Area || b.Area > unlike*a.Area {
				continue
			}
			pitch := math.Hypot(squared(a, d).X, squared(a, d).Y)
			back := math.Hypot(squared(b, d).X, squared(b, d).Y)
			if min(pitch, back) >= nearestPitch && max(pitch, back) <= farthestPitch {
				near[i] = append(near[i], j)
				near[j] = append(near[j], i)
			}
		}
	}
	for i := range near {
		slices.SortFunc(near[i], func(a, b int) int {
			from := func(k int) float64 {
				s := squared(&blobs[i], imageio.Point{X: blobs[k].At.X - blobs[i].At.X, Y: blobs[k].At.Y - blobs[i].At.Y})
				return s.X*s.X + s.Y*s.Y
			}
			if from(a) < from(b) {
				return -1
			}
			return 1
		})
		near[i] = near[i][:min(len(near[i]), most)]
	}
	return near
}

// corners lists pairs of a blob's neighbours that stand at right angles and equally far on
// the card, so that they may be the next in its row and in its column.
func corners(blobs []blob.Blob, near [][]int, seed int) [][2]int {
	const skewed, longer, most = 0.3, 1.35, 6
	var pairs [][2]int
	for k, i := range near[seed] {
		for _, j := range near[seed][k+1:] {
			o := blobs[seed].At
			a := squared(&blobs[seed], imageio.Point{X: blobs[i].At.X - o.X, Y: blobs[i].At.Y - o.Y})
			b := squared(&blobs[seed], imageio.Point{X: blobs[j].At.X - o.X, Y: blobs[j].At.Y - o.Y})
			la, lb := math.Hypot(a.X, a.Y), math.Hypot(b.X, b.Y)
			if math.Abs(a.X*b.X+a.Y*b.Y) > skewed*la*lb || la > longer*lb || lb > longer*la {
				continue
			}
			if pairs = append(pairs, [2]int{i, j}); len(pairs) == most {
				return pairs
			}
		}
	}
	return pairs
}

// grow builds the lattice that has seed at its origin and the pair beside it.
func grow(blobs []blob.Blob, along []int, near [][]int, seed int, pair [2]int) lattice {
	l := lattice{at: map[cell]int{{0, 0}: seed, {1, 0}: pair[0], {0, 1}: pair[1]}}
	used := map[int]bool{seed: true, pair[0]: true, pair[1]: true}
	steps := map[cell]imageio.Point{}
	o := blobs[seed].At
	right := imageio.Point{X: blobs[pair[0]].At.X - o.X, Y: blobs[pair[0]].At.Y - o.Y}
	down := imageio.Point{X: blobs[pair[1]].At.X - o.X, Y: blobs[pair[1]].At.Y - o.Y}
	queue := []cell{{0, 0}, {1, 0}, {0, 1}}
	ways := [4]cell{{1, 0}, {0, 1}, {-1, 0}, {0, -1}}
	stepAt := func(c, way cell) imageio.Point {
		// The nearest step of this direction that is known already.
		for _, from := range []cell{c, {c.column - way.column, c.row - way.row}} {
			if s, ok := steps[cell{from.column*100 + way.column, from.row*100 + way.row}]; ok {
				return s
			}
		}
		s := right
		if way.row != 0 {
			s = down
		}
		if way.column+way.row < 0 {
			s = imageio.Point{X: -s.X, Y: -s.Y}
		}
		return s
	}
	for len(queue) > 0 {
		c := queue[0]
		queue = queue[1:]
		from := &blobs[l.at[c]]
		for _, way := range ways {
			next := cell{c.column + way.column, c.row + way.row}
			if _, done := l.at[next]; done || max(next.column, -next.column, next.row, -next.row) > mostCells {
				continue
			}
			step := stepAt(c, way)
			// Seen at a slant, the step scales with the patch.
			best, least := -1, astray*math.Hypot(step.X, step.Y)
			for _, k := range near[l.at[c]] {
				if used[k] {
					continue
				}
				off := math.Hypot(blobs[k].At.X-from.At.X-step.X, blobs[k].At.Y-from.At.Y-step.Y)
				if off < least {
					best, least = k, off
				}
			}
			if best < 0 {
				continue
			}
			l.at[next], used[best] = best, true
			d := imageio.Point{X: blobs[best].At.X - from.At.X, Y: blobs[best].At.Y - from.At.Y}
			steps[cell{next.column*100 + way.column, next.row*100 + way.row}] = d
			queue = append(queue, next)
		}
	}
	if len(l.at) < leastLattice {
		return lattice{}
	}
	return l.settled(blobs, along)
}

// settled puts the lattice on one plane: blobs off it go, others that lie on it come, also
// across a place where none was seen.
func (l lattice) settled(blobs []blob.Blob, along []int) lattice {
	for range 4 {
		var grid, seen []imageio.Point
		for c, i := range l.at {
			grid = append(grid, imageio.Point{X: float64(c.column), Y: float64(c.row)})
			seen = append(seen, blobs[i].At)
		}
		plane, ok := fitGridPlane(grid, seen)
		if !ok {
			return lattice{}
		}
		next := lattice{at: map[cell]int{}, plane: plane}
		lo, hi := l.bounds()
		lo, hi = cell{lo.column - 2, lo.row - 2}, cell{hi.column + 2, hi.row + 2}
		for _, i := range plane.reached(blobs, along, lo, hi) {
			u, ok := plane.grid(blobs[i].At)
			c := cell{int(math.Round(u.X)), int(math.Round(u.Y))}
			if !ok || c.column < lo.column || c.row < lo.row || c.column > hi.column || c.row > hi.row {
				continue
			}
			off := math.Hypot(u.X-float64(c.column), u.Y-float64(c.row))
			if off > astrayOnPlane || !plane.fits(&blobs[i], c) {
				continue
			}
			if k, taken := next.at[c]; taken {
				v, _ := plane.grid(blobs[k].At)
				if math.Hypot(v.X-float64(c.column), v.Y-float64(c.row)) <= off {
					continue
				}
			}
			next.at[c] = i
		}
		if len(next.at) < leastLattice {
			return lattice{}
		}
		same := len(next.at) == len(l.at)
		l = next
		if same {
			break
		}
	}
	return l
}

// reached are the blobs that may lie in the cells from lo to hi, and others.
func (g *gridPlane) reached(blobs []blob.Blob, along []int, lo, hi cell) []int {
	left, right, top, bottom := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, corner := range [4]cell{lo, {hi.column, lo.row}, hi, {lo.column, hi.row}} {
		// Half a cell more, so that places that round to the last cells are in.
		u := float64(corner.column) + math.Copysign(0.5, float64(2*corner.column-lo.column-hi.column))
		v := float64(corner.row) + math.Copysign(0.5, float64(2*corner.row-lo.row-hi.row))
		if g.G*u+g.H*v+1 <= 0 {
			return along // over the horizon
		}
		at := g.Point(u, v)
		left, right = min(left, at.X), max(right, at.X)
		top, bottom = min(top, at.Y), max(bottom, at.Y)
	}
	var list []int
	for _, i := range fromTo(blobs, along, left, right) {
		if y := blobs[i].At.Y; y >= top && y <= bottom {
			list = append(list, i)
		}
	}
	return list
}

func (l *lattice) bounds() (lo, hi cell) {
	first := true
	for c := range l.at {
		if first {
			lo, hi, first = c, c, false
		}
		lo = cell{min(lo.column, c.column), min(lo.row, c.row)}
		hi = cell{max(hi.column, c.column), max(hi.row, c.row)}
	}
	return lo, hi
}

// fits reports whether a blob is about as large as a patch at that place would look.
func (g *gridPlane) fits(b *blob.Blob, c cell) bool {
	u, v := float64(c.column), float64(c.row)
	o := g.Point(u, v)
	r, d := g.Point(u+0.5, v), g.Point(u, v+0.5)
	area := 4 * math.Abs((r.X-o.X)*(d.Y-o.Y)-(r.Y-o.Y)*(d.X-o.X)) // of a whole pitch
	side := math.Sqrt(b.Area) + smeared
	return side*side > area/(farthestPitch*farthestPitch) && side*side < 1.3*area
}

// isCard reports whether the lattice is surely some colour card: full enough, of many colours,
// and some of them red, some green, some blue. Keyboards, tiles, perforated boards and
// collections of woods are not.
func (l *lattice) isCard(blobs []blob.Blob) bool {
	const leastPatches, leastColours, fill, unlike = 15, 9, 0.7, 28.0 // of 255, in square roots of light
	lo, hi := l.bounds()
	if n := float64(len(l.at)); n < leastPatches || n < fill*float64((hi.column-lo.column+1)*(hi.row-lo.row+1)) {
		return false
	}
	var kinds [][3]float64
	var strong [3]bool
next:
	for _, i := range l.at {
		c := blobs[i].Colour
		for k := range c {
			strong[k] = strong[k] || c[k] > max(c[(k+1)%3], c[(k+2)%3])+unlike
		}
		for _, k := range kinds {
			if max(math.Abs(c[0]-k[0]), math.Abs(c[1]-k[1]), math.Abs(c[2]-k[2])) < unlike {
				continue next
			}
		}
		kinds = append(kinds, c)
	}
	return len(kinds) >= leastColours && strong == [3]bool{true, true, true}
}

// outline is the quadrilateral round all patches, in pixels of the photo.
func (l *lattice) outline(scale float64) [4]imageio.Point {
	lo, hi := l.bounds()
	x0, y0 := float64(lo.column)-0.5, float64(lo.row)-0.5
	x1, y1 := float64(hi.column)+0.5, float64(hi.row)+0.5
	q := pose{l.plane.Point(x0, y0), l.plane.Point(x1, y0), l.plane.Point(x1, y1), l.plane.Point(x0, y1)}
	return q.scaled(scale)
}
