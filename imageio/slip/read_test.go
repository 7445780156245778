package slip_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/imageio/slip"
	"huewright/internal/figure"
	"huewright/internal/stat"
)

// A patchError is how far a patch was read off what was pasted.
type patchError struct {
	deltaE float64
	lab    [3]float64 // L*, a*, b*
	sd     float64
}

// readPatches reads the patches of a slip that was found, and compares them with the light that was pasted: the tone as printed, under
// the light of the patch's middle, in the middle of the scale of the photo.
func readPatches(t *testing.T, d *drawnScene, l *laid, s *slip.Slip) (all []patchError) {
	t.Helper()
	patches, err := slip.Read(t.Context(), d.photo, s)
	require.NoError(t, err)
	for i, p := range patches {
		x, y := slip.PatchCorner(i)
		truth, n := colour.LinearRGB{}, 0.0
		for u := 0.3; u < 0.75; u += 0.1 {
			for v := 0.3; v < 0.75; v += 0.1 {
				px, py := l.project(x+u*slip.PatchSide, y+v*slip.PatchSide)
				light := l.light.at(px-l.x, py-l.y)
				c, on := l.print.at(x+u*slip.PatchSide, y+v*slip.PatchSide)
				require.True(t, on)
				truth.R, truth.G, truth.B, n = truth.R+c.R*light[0], truth.G+c.G*light[1], truth.B+c.B*light[2], n+1
			}
		}
		truth = colour.LinearRGB{R: truth.R / n, G: truth.G / n, B: truth.B / n}
		if p.Clipped > 0 || max(truth.R, truth.G, truth.B) > 0.9 {
			continue // burnt out: it says so
		}
		a, b := truth.Lab(), p.Camera.Lab()
		all = append(all, patchError{colour.DeltaE2000(a, b), [3]float64{b.L - a.L, b.A - a.A, b.B - a.B}, p.SD})
	}
	return all
}

// requirePatches holds the patches to their truth, and their stated standard deviation to how far off they are.
func requirePatches(t *testing.T, patches []patchError) {
	var off []float64
	within := 0.0
	for _, p := range patches {
		off = append(off, p.deltaE)
		if math.Hypot(math.Hypot(p.lab[0], p.lab[1]), p.lab[2]) <= 2.8*p.sd { // 95 of 100 for three axes
			within++
		}
	}
	q := stat.Quantiles(off, 0.5, 0.9)
	n := float64(len(patches))
	figure.Report(t, "slips/patches", "%.2f, 90 of 100: %.2f; stated radius holds %.0f %%; %.0f patches", q[0], q[1], 100*within/n, n)
	require.Less(t, q[0], 1.2)
	figure.AtLeast(t, 0.90, within/n, n)
}
