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

// RequireFitSlopes holds the gradient of a fit's cost against differences, and its curvature against the square of the Jacobian, at a
// random camera.
func RequireFitSlopes(t *testing.T, rng *rand.Rand, samples []Sample) {
	t.Helper()
	prior := cardPrior
	f := newFitProblem(&prior, samples)
	p, sd := identity, prior.deviations()
	for k := range p {
		p[k] += 0.3 * sd[k] * rng.NormFloat64()
	}
	gradient, curvature := make([]float64, nCamera), mat.NewSymDense(nCamera, nil)
	f.Cost(p[:])
	f.Normal(p[:], gradient, curvature)
	want := mat.NewDense(nCamera, nCamera, nil)
	want.Copy(prior.precision())
	for i := range samples {
		s := &samples[i]
		_, slopes := p.sensitivity(s.Camera, s.At)
		j := mat.NewDense(3, nCamera, nil)
		for k := range slopes {
			j.SetRow(k, slopes[k][:])
		}
		j.Scale(s.weight(), j)
		var square mat.Dense
		square.Mul(j.T(), j)
		want.Add(want, &square)
	}
	for k := range p {
		const h = 1e-6
		up, down := p, p
		up[k] += h
		down[k] -= h
		slope := (f.Cost(up[:]) - f.Cost(down[:])) / (2 * h)
		require.InDeltaf(t, slope, gradient[k], 1e-3*(1+math.Abs(slope)), "parameter %d", k)
		for m := range p {
			require.InDeltaf(t, want.At(k, m), curvature.At(k, m), 1e-9*(1+math.Abs(want.At(k, m))), "parameters %d and %d", k, m)
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
