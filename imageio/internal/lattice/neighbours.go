package lattice

import (
	"cmp"
	"math"
	"slices"

	"huewright/imageio"
	"huewright/imageio/internal/blob"
)

const (
	// The neighbours of a patch lie this many of its sides away, centre to centre.
	nearestPitch, farthestPitch = 0.85, 2.0
	// unlike is how many times larger one patch may look than the next.
	unlike = 2.6
	// smeared is what the edge of a patch loses, in pixels of a side: the rough ones at its rim.
	smeared = 1.5
)

// A neighbourhood is the blobs of a picture and what may lie beside each on a card.
type neighbourhood struct {
	blobs []blob.Blob
	along []int   // all of them from left to right
	near  [][]int // of each, the nearest first
}

func neighbours(blobs []blob.Blob) *neighbourhood {
	const most = 12
	n := &neighbourhood{blobs: blobs, near: make([][]int, len(blobs))}
	n.along = sorted(blobs, func(a, b int) int { return cmp.Or(cmp.Compare(blobs[a].At.X, blobs[b].At.X), a-b) })
	for k, i := range n.along {
		for _, j := range n.along[k+1:] {
			a, b := &blobs[i], &blobs[j]
			d := n.offset(i, j)
			if reach := 2 * farthestPitch * (math.Sqrt(a.Area) + smeared); d.X > reach {
				break
			} else if math.Abs(d.Y) > reach || a.Area > unlike*b.Area || b.Area > unlike*a.Area {
				continue
			}
			there, back := inSides(a, d), inSides(b, d)
			pitch, pitchBack := math.Hypot(there.X, there.Y), math.Hypot(back.X, back.Y)
			if min(pitch, pitchBack) >= nearestPitch && max(pitch, pitchBack) <= farthestPitch {
				n.near[i] = append(n.near[i], j)
				n.near[j] = append(n.near[j], i)
			}
		}
	}
	for i := range n.near {
		slices.SortFunc(n.near[i], func(a, b int) int {
			square := func(k int) float64 {
				s := inSides(&blobs[i], n.offset(i, k))
				return s.X*s.X + s.Y*s.Y
			}
			if square(a) < square(b) {
				return -1
			}
			return 1
		})
		n.near[i] = n.near[i][:min(len(n.near[i]), most)]
	}
	return n
}

// sorted lists the indices of blobs in an order.
func sorted(blobs []blob.Blob, order func(a, b int) int) []int {
	list := make([]int, len(blobs))
	for i := range list {
		list[i] = i
	}
	slices.SortStableFunc(list, order)
	return list
}

// offset is from one blob to another, in pixels.
func (n *neighbourhood) offset(from, to int) imageio.Point {
	a, b := n.blobs[from].At, n.blobs[to].At
	return imageio.Point{X: b.X - a.X, Y: b.Y - a.Y}
}

// inSides returns an offset in units of a blob's own sides: what makes its covariance that of a unit square.
// How that square is turned stays open, but right angles and equal lengths on the card are so again.
func inSides(b *blob.Blob, d imageio.Point) imageio.Point {
	side := math.Sqrt(b.Area)
	scale := math.Sqrt(12) * (side + smeared) / side
	// Lower Cholesky factor of the covariance.
	l11 := math.Sqrt(b.XX)
	l21 := b.XY / l11
	l22 := math.Sqrt(max(b.YY-l21*l21, 1e-9))
	u := d.X / l11
	return imageio.Point{X: u / scale, Y: (d.Y - l21*u) / l22 / scale}
}

// between lists the blobs between two places across the picture, from left to right.
func (n *neighbourhood) between(left, right float64) []int {
	place := func(i int, x float64) int { return cmp.Compare(n.blobs[i].At.X, x) }
	from, _ := slices.BinarySearchFunc(n.along, left, place)
	to, _ := slices.BinarySearchFunc(n.along, right, place)
	return n.along[from:max(from, to)]
}

// corners lists pairs of a blob's neighbours that stand at right angles and equally far on the card, so that
// they may be the next in its row and in its column.
func (n *neighbourhood) corners(seed int) [][2]int {
	const skewed, longer, most = 0.3, 1.35, 6
	var pairs [][2]int
	for k, i := range n.near[seed] {
		for _, j := range n.near[seed][k+1:] {
			a, b := inSides(&n.blobs[seed], n.offset(seed, i)), inSides(&n.blobs[seed], n.offset(seed, j))
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
