package colour

import (
	"math"
	"sync"
)

// cubeTable holds a correction at the nodes of a cube over the cube roots of the recorded
// light, 0 to 1. In cube roots a correction is nearly straight, so that little is lost
// between the nodes: TestQuickCorrectionIsExact holds the loss.
type cubeTable struct{ nodes []Lab }

// cubeSide is the number of nodes along each edge.
const cubeSide = 25

// tabulate fills the table on all processors. Every node is computed by itself, so the
// result does not depend on how many there are.
func tabulate(exact func(LinearRGB) XYZ) *cubeTable {
	t := &cubeTable{nodes: make([]Lab, cubeSide*cubeSide*cubeSide)}
	light := func(i int) float64 {
		v := float64(i) / (cubeSide - 1)
		return v * v * v
	}
	var slices sync.WaitGroup
	for i := range cubeSide {
		slices.Go(func() {
			for j := range cubeSide {
				for k := range cubeSide {
					t.nodes[(i*cubeSide+j)*cubeSide+k] = exact(LinearRGB{light(i), light(j), light(k)}).Lab()
				}
			}
		})
	}
	slices.Wait()
	return t
}

// lookup interpolates between the eight nodes round c. It declines what lies outside the
// cube, and what is so dark that cube roots are steep there.
func (t *cubeTable) lookup(c LinearRGB) (Lab, bool) {
	const darkest = 1e-3
	if !(c.R >= darkest && c.G >= darkest && c.B >= darkest && c.R <= 1 && c.G <= 1 && c.B <= 1) {
		return Lab{}, false
	}
	i, u := cell(c.R)
	j, v := cell(c.G)
	k, w := cell(c.B)
	at := (i*cubeSide+j)*cubeSide + k
	along := func(at int) Lab { return mix(t.nodes[at], t.nodes[at+1], w) }
	across := func(at int) Lab { return mix(along(at), along(at+cubeSide), v) }
	return mix(across(at), across(at+cubeSide*cubeSide), u), true
}

// cell is the node below the cube root of v, and how far beyond it that is.
func cell(v float64) (node int, beyond float64) {
	at := math.Cbrt(v) * (cubeSide - 1)
	node = min(int(at), cubeSide-2)
	return node, at - float64(node)
}

func mix(a, b Lab, t float64) Lab {
	return Lab{a.L + t*(b.L-a.L), a.A + t*(b.A-a.A), a.B + t*(b.B-a.B)}
}
