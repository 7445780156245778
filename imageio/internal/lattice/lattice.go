// Package lattice finds blobs that lie in rows and columns, like the patches of a colour card seen from
// anywhere. [Find] takes the blobs of a downsampled picture and returns lattices of them, each with the
// homography of its plane.
package lattice

import (
	"math"

	"huewright/imageio"
	"huewright/imageio/internal/blob"
	"huewright/imageio/internal/plane"
)

// A Cell is a place in a lattice of patches.
type Cell struct{ Column, Row int }

// A Lattice is blobs that lie like the patches of a card. Its cells count from the blob it was begun at, so
// they may be negative.
type Lattice struct {
	At    map[Cell]int     // index of the blob in each cell
	Plane plane.Homography // from columns and rows to pixels of the picture that the blobs are of
}

// LeastPatches is how many blobs make a lattice worth a look.
const LeastPatches = 8

// Bounds returns the first and the last column and row.
func (l *Lattice) Bounds() (lo, hi Cell) {
	first := true
	for c := range l.At {
		if first {
			lo, hi, first = c, c, false
		}
		lo = Cell{min(lo.Column, c.Column), min(lo.Row, c.Row)}
		hi = Cell{max(hi.Column, c.Column), max(hi.Row, c.Row)}
	}
	return lo, hi
}

// IsCard reports whether the lattice is surely some colour card: full enough, of many colours, and some of
// them red, some green, some blue. Keyboards, tiles, perforated boards and collections of woods are not. Of 4 rows of 6, one more at most,
// the colours may be paler, and count beside the mean of all, so that a lamp's hue does not hide them.
// The blobs are those that it was found among.
func (l *Lattice) IsCard(blobs []blob.Blob) bool {
	const leastPatches, leastColours, fill, unlike = 15, 9, 0.7, 28.0 // of 255, in square roots of light
	lo, hi := l.Bounds()
	wide, high := hi.Column-lo.Column+1, hi.Row-lo.Row+1
	if n := float64(len(l.At)); n < leastPatches || n < fill*float64(wide*high) {
		return false
	}
	balance, leastStrong := [3]float64{1, 1, 1}, unlike
	if len(l.At) >= 20 && wide*high <= 30 && min(wide, high) >= 4 {
		balance, leastStrong = l.balance(blobs), unlike/2
	}
	var kinds [][3]float64
	var strong [3]bool
next:
	for _, i := range l.At {
		c := blobs[i].Colour
		for k := range c {
			c[k] *= balance[k]
		}
		for k := range c {
			strong[k] = strong[k] || c[k] > max(c[(k+1)%3], c[(k+2)%3])+leastStrong
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

// balance are factors of the channels that make the mean of all patches grey.
func (l *Lattice) balance(blobs []blob.Blob) (by [3]float64) {
	var sum [3]float64
	for _, i := range l.At {
		for k, v := range blobs[i].Colour {
			sum[k] += v
		}
	}
	for k := range by {
		by[k] = (sum[0] + sum[1] + sum[2]) / 3 / max(sum[k], 1)
	}
	return by
}

// Outline returns the quadrilateral round all patches, in pixels of the photo: scale is how many of them one
// pixel of the picture covers.
func (l *Lattice) Outline(scale float64) [4]imageio.Point {
	lo, hi := l.Bounds()
	x0, y0 := float64(lo.Column)-0.5, float64(lo.Row)-0.5
	x1, y1 := float64(hi.Column)+0.5, float64(hi.Row)+0.5
	return plane.Scaled([4]imageio.Point{l.Plane.Point(x0, y0), l.Plane.Point(x1, y0), l.Plane.Point(x1, y1), l.Plane.Point(x0, y1)}, scale)
}
