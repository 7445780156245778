package lattice

import (
	"slices"

	"huewright/imageio/internal/blob"
)

// Find returns the lattices among blobs, the largest first.
func Find(blobs []blob.Blob) []Lattice {
	n := neighbours(blobs)
	taken := make([]bool, len(blobs))
	var found []Lattice
	for _, seed := range sorted(blobs, func(a, b int) int { return int(blobs[b].Area - blobs[a].Area) }) {
		if taken[seed] {
			continue
		}
		best := Lattice{}
		for _, pair := range n.corners(seed) {
			if l := n.grow(seed, pair); len(l.At) > len(best.At) {
				best = l
			}
		}
		if len(best.At) < LeastPatches {
			continue
		}
		for _, i := range best.At {
			taken[i] = true
		}
		found = append(found, best)
	}
	slices.SortStableFunc(found, func(a, b Lattice) int { return len(b.At) - len(a.At) })
	return separate(found, len(blobs))
}

// separate drops lattices of which most was found before.
func separate(all []Lattice, blobs int) []Lattice {
	taken := make([]bool, blobs)
	return slices.DeleteFunc(all, func(l Lattice) bool {
		again := 0
		for _, i := range l.At {
			if taken[i] {
				again++
			}
			taken[i] = true
		}
		return 3*again > len(l.At)
	})
}
