package colour

import (
	"math"
	"sync"
)

// cubeTable holds a correction as cube roots of X, Y, Z over a cube whose edges are the cube
// roots of the recorded light: from cube roots to cube roots a correction is nearly straight,
// and, unlike in Lab, has no kink at L* 8. Between the nodes it follows the chords and the sag
// below them: TestQuickCorrectionIsExact holds what is lost.
type cubeTable struct {
	nodes []roots
	sags  []cellSag // of the cell above each node
}

// cellSag is how far a cell's surface sags below its chords along each edge, but for the
// factor u(1−u) of a place u between two nodes: half the second difference.
type cellSag [3]roots

// roots are the cube roots of X, Y and Z.
type roots [3]float64

const (
	cubeSide = 25 // nodes along each edge

	// cubeFrom is the cube root at the first node. What is darker, L* 3 and less, bends too
	// sharply for a table.
	cubeFrom   = 0.15
	cubeFinest = (cubeSide - 1) / (1 - cubeFrom) // nodes per unit
)

// cubeStride is how far apart in the table neighbours along each edge are.
var cubeStride = [3]int{cubeSide * cubeSide, cubeSide, 1}

// tabulate fills the table on all processors. Every node is computed by itself, so the
// result does not depend on how many there are.
func (c *Correction) tabulate() *cubeTable {
	t := &cubeTable{
		nodes: make([]roots, cubeSide*cubeSide*cubeSide),
		sags:  make([]cellSag, cubeSide*cubeSide*cubeSide),
	}
	var y [3][cubeSide]float64
	for channel := range y {
		for i := range cubeSide {
			y[channel][i], _, _ = c.params.response(channel, cubed(cubeFrom+float64(i)/cubeFinest), Position{})
		}
	}
	overCube(cubeSide, func(i, j, k, at int) {
		seen := c.params.combine(terms(y[0][i], y[1][j], y[2][k]))
		xyz := c.residuals.correct(seen.Lab()).XYZ()
		t.nodes[at] = roots{math.Cbrt(xyz.X), math.Cbrt(xyz.Y), math.Cbrt(xyz.Z)}
	})
	overCube(cubeSide-1, func(i, j, k, at int) {
		t.sags[at] = t.sag([3]int{i, j, k})
	})
	return t
}

// overCube calls do for the first side nodes along each edge, by their place in the table.
func overCube(side int, do func(i, j, k, at int)) {
	var slices sync.WaitGroup
	for i := range side {
		slices.Go(func() {
			for j := range side {
				for k := range side {
					do(i, j, k, i*cubeStride[0]+j*cubeStride[1]+k)
				}
			}
		})
	}
	slices.Wait()
}

// sag averages the second differences at the eight corners of a cell. At the faces of the
// cube it takes those of the next node inwards.
func (t *cubeTable) sag(cell [3]int) (sag cellSag) {
	for axis, stride := range cubeStride {
		for corner := range 8 {
			node := [3]int{cell[0] + corner>>2, cell[1] + corner>>1&1, cell[2] + corner&1}
			node[axis] = min(max(node[axis], 1), cubeSide-2)
			at := node[0]*cubeStride[0] + node[1]*cubeStride[1] + node[2]
			below, here, above := &t.nodes[at-stride], &t.nodes[at], &t.nodes[at+stride]
			for n := range here {
				sag[axis][n] += (below[n] - 2*here[n] + above[n]) / 16
			}
		}
	}
	return sag
}

// lookup interpolates within the cell round c. It declines what lies outside the cube.
func (t *cubeTable) lookup(c LinearRGB) (XYZ, bool) {
	const darkest = cubeFrom * cubeFrom * cubeFrom
	if !(c.R >= darkest && c.G >= darkest && c.B >= darkest && c.R <= 1 && c.G <= 1 && c.B <= 1) {
		return XYZ{}, false
	}
	i, u := cell(c.R)
	j, v := cell(c.G)
	k, w := cell(c.B)
	at := i*cubeStride[0] + j*cubeStride[1] + k
	low, high := t.nodes[at:], t.nodes[at+cubeStride[0]:]
	sag := &t.sags[at]
	var out roots
	for n := range out {
		below := mix(mix(low[0][n], low[1][n], w), mix(low[cubeSide][n], low[cubeSide+1][n], w), v)
		above := mix(mix(high[0][n], high[1][n], w), mix(high[cubeSide][n], high[cubeSide+1][n], w), v)
		out[n] = mix(below, above, u) - u*(1-u)*sag[0][n] - v*(1-v)*sag[1][n] - w*(1-w)*sag[2][n]
	}
	return XYZ{cubed(out[0]), cubed(out[1]), cubed(out[2])}, true
}

// cell is the node below the cube root of v, and how far beyond it that is.
func cell(v float64) (node int, beyond float64) {
	at := max(math.Cbrt(v)-cubeFrom, 0) * cubeFinest
	node = min(int(at), cubeSide-2)
	return node, at - float64(node)
}

func mix(a, b, t float64) float64 { return a + t*(b-a) }

func cubed(v float64) float64 { return v * v * v }
