package camera

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"huewright/colour"
)

// ExactOf is a correction without its table.
func ExactOf(c *Correction) func(colour.LinearRGB) colour.XYZ { return c.exact }

// RequireSlopes holds the model's derivatives against differences, at a random camera.
func RequireSlopes(t *testing.T, rng *rand.Rand) {
	t.Helper()
	p, sd := identity, chartPrior.deviations()
	for k := range p {
		p[k] += 0.3 * sd[k] * rng.NormFloat64()
	}
	c := colour.LinearRGB{R: 0.05 + rng.Float64(), G: 0.05 + rng.Float64(), B: 0.05 + rng.Float64()}
	at := Position{rng.Float64() - 0.5, rng.Float64() - 0.5}
	_, slopes := p.sensitivity(c, at)
	for k := range p {
		const h = 1e-6
		up, down := p, p
		up[k] += h
		down[k] -= h
		a, b := up.xyz(c, at).Lab(), down.xyz(c, at).Lab()
		for i, diff := range [3]float64{a.L - b.L, a.A - b.A, a.B - b.B} {
			require.InDeltaf(t, diff/(2*h), slopes[i][k], 1e-3, "parameter %d, coordinate %d", k, i)
		}
	}
}

// RequireJointSlopes holds the joint fit's derivatives against differences, at random photos.
func RequireJointSlopes(t *testing.T, rng *rand.Rand, photos []PhotoView) {
	t.Helper()
	alone := make([]*Correction, len(photos))
	for i := range photos {
		alone[i] = fitSamples(photos[i].Light, photos[i].Known, &identity)
	}
	f := newJointProblem(photos, alone)
	at := f.start()
	for k := range at {
		at[k] += 0.02 * rng.NormFloat64()
	}
	n, m := f.residuals, f.parameters
	j, up, down := mat.NewDense(n, m, nil), make([]float64, n), make([]float64, n)
	f.evaluate(at, up, j)
	for k := range m {
		const h = 1e-6
		moved := append([]float64(nil), at...)
		moved[k] += h
		f.evaluate(moved, up, nil)
		moved[k] -= 2 * h
		f.evaluate(moved, down, nil)
		for i := range n {
			diff := (up[i] - down[i]) / (2 * h)
			require.InDeltaf(t, diff, j.At(i, k), 1e-3*(1+math.Abs(diff)), "residual %d, parameter %d", i, k)
		}
	}
}
