package chart

import (
	"math"
	"slices"

	"huewright/imageio/internal/blob"
	"huewright/imageio/internal/lattice"
	"huewright/imageio/internal/plane"
)

// A candidate is a pose in pixels of the photo and how badly the colours of the downsampled picture fit it: the
// mean misfit in natural logarithms of light, any one patch counting at most worstLog.
type candidate struct {
	pose
	misfit float64
}

const (
	// inWindow is the share of a lattice's patches that a chart laid over it must take in.
	inWindow = 0.75
	// coarseCore is how far from its centre a patch is read on the downsampled picture, in pitches.
	coarseCore = 0.18
)

// A window is a part of a lattice as large as a chart, in one of its two directions.
type window struct{ first, size lattice.Cell }

// candidates are the ways a chart may lie on a lattice, the best first.
func candidates(t *blob.Downsampled, l *lattice.Lattice, want *wantedLogs) []candidate {
	lo, hi := l.Bounds()
	cells := map[lattice.Cell]logLight{}
	var all []candidate
	for _, size := range []lattice.Cell{{Column: chartColumns, Row: chartRows}, {Column: chartRows, Row: chartColumns}} {
		for row := lo.Row - size.Row + 1; row <= hi.Row; row++ {
			for column := lo.Column - size.Column + 1; column <= hi.Column; column++ {
				w := window{lattice.Cell{Column: column, Row: row}, size}
				seen := w.count(l)
				if seen < lattice.LeastPatches || float64(seen) < inWindow*float64(len(l.At)) {
					continue
				}
				q, ok := w.pose(&l.Plane)
				if !ok {
					continue
				}
				for way := range 4 {
					var lights [chartPatches]logLight
					for i := range lights {
						lights[i] = lightAt(t, &l.Plane, w.cell(turnedPlace(i, way)), cells)
					}
					all = append(all, candidate{plane.Scaled(q.turned(way), t.Scale), logMisfit(lights, want)})
				}
			}
		}
	}
	slices.SortStableFunc(all, func(a, b candidate) int {
		if a.misfit < b.misfit {
			return -1
		}
		return 1
	})
	return all
}

// upright reports whether the chart's rows run along the lattice's columns.
func (w window) upright() bool { return w.size.Column < w.size.Row }

// count is how many blobs of the lattice the window holds.
func (w window) count(l *lattice.Lattice) (n int) {
	for c := range l.At {
		column, row := c.Column-w.first.Column, c.Row-w.first.Row
		if column >= 0 && column < w.size.Column && row >= 0 && row < w.size.Row {
			n++
		}
	}
	return n
}

// pose is the chart over the window, in pixels of the downsampled picture. It is not ok when the window reaches
// over the horizon.
func (w window) pose(h *plane.Homography) (q pose, ok bool) {
	for i, place := range [4]int{0, chartColumns - 1, chartPatches - 1, chartPatches - chartColumns} {
		c := w.cell(place)
		u, v := float64(c.Column), float64(c.Row)
		if h.Depth(u, v) < 0.1 {
			return q, false
		}
		q[i] = h.Point(u, v)
	}
	return q, true
}

// cell is where the lattice has one of the 24 places.
func (w window) cell(place int) lattice.Cell {
	column, row := place%chartColumns, place/chartColumns
	if w.upright() {
		column, row = row, column
	}
	return lattice.Cell{Column: w.first.Column + column, Row: w.first.Row + row}
}

// lightAt is the mean light that the picture shows in the middle of a cell; known keeps it.
func lightAt(t *blob.Downsampled, h *plane.Homography, c lattice.Cell, known map[lattice.Cell]logLight) logLight {
	if v, ok := known[c]; ok {
		return v
	}
	const side = 5
	var sum [3]float64
	for k := range side * side {
		across, down := float64(k%side)/(side-1)-0.5, float64(k/side)/(side-1)-0.5
		at := h.Point(float64(c.Column)+2*coarseCore*across, float64(c.Row)+2*coarseCore*down)
		if !(at.X >= 0 && at.Y >= 0 && at.X < float64(t.Wide) && at.Y < float64(t.High)) {
			known[c] = logLight{}
			return logLight{}
		}
		px := t.Codes[3*(int(at.Y)*t.Wide+int(at.X)):]
		for i := range sum {
			root := float64(px[i]) / 255
			sum[i] += root * root / (side * side)
		}
	}
	v := logLight{inside: true}
	for i := range v.log {
		v.log[i] = math.Log(max(sum[i], darkest))
	}
	known[c] = v
	return v
}
