package chart

import (
	"math"
	"slices"
	"sync"

	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/internal/blob"
	"huewright/internal/stat"
)

// A pose is one way a chart may lie in the photo: where the centres of its four corner
// patches are, from the dark brown along its row and round, in pixels of the photo.
type pose [4]imageio.Point

// patch is the centre of a patch, and of places between them by fractions.
func (q pose) grid() gridPlane {
	m := blob.PlaneOf(q)
	// planeOf maps the unit square; here a unit is a pitch.
	return gridPlane{blob.Plane{
		A: m.A / (blob.ChartColumns - 1), B: m.B / (blob.ChartRows - 1), C: m.C,
		D: m.D / (blob.ChartColumns - 1), E: m.E / (blob.ChartRows - 1), F: m.F,
		G: m.G / (blob.ChartColumns - 1), H: m.H / (blob.ChartRows - 1),
	}}
}

// mirrored reports whether the pose goes round the other way than a chart seen from its front.
func (q pose) mirrored() bool {
	twice := 0.0
	for i := range q {
		n := q[(i+1)%4]
		twice += q[i].X*n.Y - q[i].Y*n.X
	}
	return twice < 0
}

// turned is one of the four ways the same 24 places may be meant: 0 as it is, 1 with its rows
// read from the other end, 2 with its columns, 3 with both, which is half a turn. 1 and 2 are
// the mirror images of 0.
func (q pose) turned(way int) pose {
	if way&1 != 0 {
		q = pose{q[1], q[0], q[3], q[2]}
	}
	if way&2 != 0 {
		q = pose{q[3], q[2], q[1], q[0]}
	}
	return q
}

// turnedPlace is which of the 24 places is the i-th when they are meant that way.
func turnedPlace(i, way int) int {
	column, row := i%blob.ChartColumns, i/blob.ChartColumns
	if way&1 != 0 {
		column = blob.ChartColumns - 1 - column
	}
	if way&2 != 0 {
		row = blob.ChartRows - 1 - row
	}
	return row*blob.ChartColumns + column
}

// A rated pose has how badly its colours fit on the thumb: the mean misfit in natural
// logarithms of light, with any one patch counting at most worstLog.
type ratedPose struct {
	pose
	misfit float64
	seen   int // blobs of the lattice among its places
}

const (
	worstLog = 0.6
	// inWindow is the share of a lattice's patches that a chart laid over it must take in.
	inWindow = 0.75
	// thumbCore is how far from its centre a patch is read on the thumb, in pitches.
	thumbCore = 0.18
)

// poses are the ways a chart may lie on a lattice, the best first.
func poses(t *blob.Downsampled, l *lattice) []ratedPose {
	lo, hi := l.bounds()
	cells := map[cell]light{}
	var all []ratedPose
	for _, long := range []cell{{blob.ChartColumns, blob.ChartRows}, {blob.ChartRows, blob.ChartColumns}} {
		for row := lo.row - long.row + 1; row <= hi.row; row++ {
			for column := lo.column - long.column + 1; column <= hi.column; column++ {
				window := cell{column, row}
				seen := l.countIn(window, long)
				if seen < leastLattice || float64(seen) < inWindow*float64(len(l.at)) {
					continue
				}
				q, ok := l.windowQuad(window, long)
				if !ok {
					continue
				}
				for way := range 4 {
					seenThere := lights(t, l, placesOf(window, long, way), cells)
					all = append(all, ratedPose{q.turned(way).scaled(t.Scale), logMisfit(seenThere), seen})
				}
			}
		}
	}
	slices.SortStableFunc(all, func(a, b ratedPose) int {
		if a.misfit < b.misfit {
			return -1
		}
		return 1
	})
	return all
}

func (q pose) scaled(by float64) pose {
	for i := range q {
		q[i] = imageio.Point{X: by * q[i].X, Y: by * q[i].Y}
	}
	return q
}

func (l *lattice) countIn(from, long cell) int {
	n := 0
	for c := range l.at {
		if c.column >= from.column && c.column < from.column+long.column && c.row >= from.row && c.row < from.row+long.row {
			n++
		}
	}
	return n
}

// windowQuad is the pose over a window of the lattice, in pixels of the thumb, whose first
// side is one of the long ones. It is not ok when the window reaches over the horizon.
func (l *lattice) windowQuad(from, long cell) (pose, bool) {
	x0, y0 := float64(from.column), float64(from.row)
	x1, y1 := x0+float64(long.column-1), y0+float64(long.row-1)
	grid := [4]imageio.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
	if long.column < long.row {
		grid = [4]imageio.Point{{X: x0, Y: y0}, {X: x0, Y: y1}, {X: x1, Y: y1}, {X: x1, Y: y0}}
	}
	var q pose
	for i, g := range grid {
		if l.plane.G*g.X+l.plane.H*g.Y+1 < 0.1 {
			return q, false
		}
		q[i] = l.plane.Point(g.X, g.Y)
	}
	return q, true
}

// placesOf are the cells of the lattice where the 24 patches would be, for a window whose quad
// was turned one of four ways.
func placesOf(from, long cell, way int) [chartPatches]cell {
	var places [chartPatches]cell
	for i := range places {
		place := turnedPlace(i, way)
		column, row := place%blob.ChartColumns, place/blob.ChartColumns
		if long.column < long.row {
			column, row = row, column
		}
		places[i] = cell{from.column + column, from.row + row}
	}
	return places
}

// A light is what a thumb shows at a patch, as natural logarithms.
type light struct {
	log    [3]float64
	inside bool
}

const darkest = 0.004 // of light, where logarithms are cut off

func lights(t *blob.Downsampled, l *lattice, places [chartPatches]cell, known map[cell]light) [chartPatches]light {
	var out [chartPatches]light
	for i, c := range places {
		v, ok := known[c]
		if !ok {
			v = lightAt(t, l, c)
			known[c] = v
		}
		out[i] = v
	}
	return out
}

func lightAt(t *blob.Downsampled, l *lattice, c cell) light {
	const side = 5
	var v light
	for k := range side * side {
		across, down := float64(k%side)/(side-1)-0.5, float64(k/side)/(side-1)-0.5
		at := l.plane.Point(float64(c.column)+2*thumbCore*across, float64(c.row)+2*thumbCore*down)
		if !(at.X >= 0 && at.Y >= 0 && at.X < float64(t.Wide) && at.Y < float64(t.High)) {
			return light{}
		}
		px := t.Codes[3*(int(at.Y)*t.Wide+int(at.X)):]
		for i := range v.log {
			root := float64(px[i]) / 255
			v.log[i] += root * root / (side * side)
		}
	}
	for i := range v.log {
		v.log[i] = math.Log(max(v.log[i], darkest))
	}
	v.inside = true
	return v
}

// wantedLogs are the published colours as logarithms of linear sRGB.
var wantedLogs = sync.OnceValue(func() (logs [chartPatches][3]float64) {
	for i, patch := range camera.Chart24(camera.Since2014) {
		c := patch.Lab.LinearRGB()
		for k, v := range [3]float64{c.R, c.G, c.B} {
			logs[i][k] = math.Log(max(v, 0.02))
		}
	}
	return logs
})

// logMisfit is how far the colours at 24 places are from the chart's after the linear map of
// logarithms that suits most of them. Patches that something else covers count at most
// worstLog each, and so do those outside the picture.
func logMisfit(seen [chartPatches]light) float64 {
	misfits := logMisfits(seen)
	sum := 0.0
	for _, m := range misfits {
		sum += min(m, worstLog)
	}
	return sum / float64(len(misfits))
}

// logMisfits are the same patch by patch; +Inf outside the picture. Each patch is weighed by
// its own misfit in the round before, so that a few odd ones have no say.
func logMisfits(seen [chartPatches]light) [chartPatches]float64 {
	const rounds, soft = 8, 0.12
	want := wantedLogs()
	var misfits, weight [chartPatches]float64
	for i := range weight {
		if seen[i].inside {
			weight[i] = 1
		}
	}
	for range rounds {
		by := weightedMap(seen, want, weight)
		for i := range seen {
			misfits[i] = math.Inf(1)
			if !seen[i].inside {
				continue
			}
			square := 0.0
			for k := range 3 {
				d := by[k][0] - want[i][k]
				for m, v := range seen[i].log {
					d += by[k][m+1] * v
				}
				square += d * d
			}
			misfits[i] = math.Sqrt(square / 3)
			weight[i] = 1 / (1 + square/3/(soft*soft))
		}
	}
	return misfits
}

// weightedMap is the affine map from seen to wanted by weighted least squares, held softly to
// the identity so that few or equal colours cannot make it run wild.
func weightedMap(seen [chartPatches]light, want [chartPatches][3]float64, weight [chartPatches]float64) [3][4]float64 {
	const hold = 0.05
	var normal [4][4]float64
	var right [3][4]float64
	for i := range seen {
		x := [4]float64{1, seen[i].log[0], seen[i].log[1], seen[i].log[2]}
		for a := range x {
			for b := range x {
				normal[a][b] += weight[i] * x[a] * x[b]
			}
			for k := range right {
				right[k][a] += weight[i] * x[a] * want[i][k]
			}
		}
	}
	for a := range normal {
		normal[a][a] += hold
		if a > 0 {
			right[a-1][a] += hold
		}
	}
	stat.Solve4(&normal, right[:])
	return right
}
