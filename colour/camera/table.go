package camera

import (
	"math"
	"sync/atomic"

	"huewright/colour"
)

// A cubeTable holds a correction as cube roots of X, Y, Z over a cube whose edges are the cube
// roots of the recorded light: from cube roots to cube roots a correction is nearly straight,
// and, unlike in Lab, has no kink at L* 8. Between the nodes it follows the chords and the sag
// below them: TestTableIsExact bounds what is lost.
//
// A piece of furniture shows a small part of all colours, so each cell is computed when it is first
// asked for. What it holds does not depend on who asks, nor in which order.
type cubeTable struct {
	params    *cameraParams
	residuals *residualField
	y         [3][cubeSide]float64 // response of each channel at the nodes
	cells     [cubeSide * cubeSide * cubeSide]atomic.Pointer[cubeCell]
	nodes     [cubeSide * cubeSide * cubeSide]atomic.Pointer[roots]
}

// A cubeCell is the eight nodes at its corners, the last edge running fastest, and how far the
// surface sags below its chords along each edge, but for the factor u(1−u) of a place u between
// two nodes: half the second difference.
type cubeCell struct {
	corners [8]roots
	sag     [3]roots
}

// roots are the cube roots of X, Y and Z.
type roots [3]float64

const (
	cubeSide = 29 // nodes along each edge

	// cubeFrom is the cube root at the first node. What is darker, L* 3 and less, bends too
	// sharply for a table.
	cubeFrom   = 0.15
	cubeFinest = (cubeSide - 1) / (1 - cubeFrom) // nodes per unit
)

// cubeStride is how far apart in the table neighbours along each edge are.
var cubeStride = [3]int{cubeSide * cubeSide, cubeSide, 1}

// newTable makes the table of a correction, all of it still to be computed.
func newTable(p *cameraParams, residuals *residualField) *cubeTable {
	t := &cubeTable{params: p, residuals: residuals}
	for channel := range t.y {
		for i := range cubeSide {
			t.y[channel][i], _ = p.response(channel, cubed(cubeFrom+float64(i)/cubeFinest), Position{})
		}
	}
	return t
}

func (t *cubeTable) node(i, j, k int) *roots {
	at := i*cubeStride[0] + j*cubeStride[1] + k
	if known := t.nodes[at].Load(); known != nil {
		return known
	}
	seen := t.params.combine(terms(t.y[0][i], t.y[1][j], t.y[2][k]))
	xyz := t.residuals.correct(seen.Lab()).XYZ()
	node := &roots{math.Cbrt(xyz.X), math.Cbrt(xyz.Y), math.Cbrt(xyz.Z)}
	t.nodes[at].Store(node)
	return node
}

func (t *cubeTable) cell(i, j, k int) *cubeCell {
	at := i*cubeStride[0] + j*cubeStride[1] + k
	if known := t.cells[at].Load(); known != nil {
		return known
	}
	cell := &cubeCell{sag: t.sag([3]int{i, j, k})}
	for corner := range cell.corners {
		cell.corners[corner] = *t.node(i+corner>>2, j+corner>>1&1, k+corner&1)
	}
	t.cells[at].Store(cell)
	return cell
}

// sag averages the second differences at the eight corners of a cell. At the faces of the
// cube it takes those of the next node inwards.
func (t *cubeTable) sag(cell [3]int) (sag [3]roots) {
	for axis := range sag {
		for corner := range 8 {
			node := [3]int{cell[0] + corner>>2, cell[1] + corner>>1&1, cell[2] + corner&1}
			node[axis] = min(max(node[axis], 1), cubeSide-2)
			var beside [3]*roots
			for k := range beside {
				near := node
				near[axis] += k - 1
				beside[k] = t.node(near[0], near[1], near[2])
			}
			for n := range sag[axis] {
				sag[axis][n] += (beside[0][n] - 2*beside[1][n] + beside[2][n]) / 16
			}
		}
	}
	return sag
}

// lookup interpolates within the cell round c. It declines what lies outside the cube.
func (t *cubeTable) lookup(c colour.LinearRGB) (colour.XYZ, bool) {
	const darkest = cubeFrom * cubeFrom * cubeFrom
	if !(c.R >= darkest && c.G >= darkest && c.B >= darkest && c.R <= 1 && c.G <= 1 && c.B <= 1) {
		return colour.XYZ{}, false
	}
	i, u := cell(c.R)
	j, v := cell(c.G)
	k, w := cell(c.B)
	here := t.cell(i, j, k)
	at, sag := &here.corners, &here.sag
	var out roots
	for n := range out {
		below := mix(mix(at[0][n], at[1][n], w), mix(at[2][n], at[3][n], w), v)
		above := mix(mix(at[4][n], at[5][n], w), mix(at[6][n], at[7][n], w), v)
		out[n] = mix(below, above, u) - u*(1-u)*sag[0][n] - v*(1-v)*sag[1][n] - w*(1-w)*sag[2][n]
	}
	return colour.XYZ{X: cubed(out[0]), Y: cubed(out[1]), Z: cubed(out[2])}, true
}

// cell is the node below the cube root of v, and how far beyond it that is.
func cell(v float64) (node int, beyond float64) {
	at := max(colour.CubeRoot(v)-cubeFrom, 0) * cubeFinest
	node = min(int(at), cubeSide-2)
	return node, at - float64(node)
}

func mix(a, b, t float64) float64 { return a + t*(b-a) }

func cubed(v float64) float64 { return v * v * v }
