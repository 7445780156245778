package lm_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"huewright/internal/lm"
)

// A certified fit of the Statistical Reference Datasets of the US National Institute of Standards and Technology,
// nonlinear regression: two starts, and what parameters, their standard deviations and the residual sum of squares
// come to, certified to 11 digits.
type certified struct {
	x, y     []float64
	starts   [][]float64
	want, sd []float64
	squares  float64
	model    func(b []float64, x float64) (y float64, slopes []float64)
}

// Misra1a: dental research in monomolecular adsorption, observed; lower level of difficulty.
var misra1a = certified{
	y:      []float64{10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78},
	x:      []float64{77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0},
	starts: [][]float64{{500, 0.0001}, {250, 0.0005}},
	want:   []float64{2.3894212918e+02, 5.5015643181e-04}, sd: []float64{2.7070075241, 7.2668688436e-06},
	squares: 1.2455138894e-01,
	model: func(b []float64, x float64) (float64, []float64) {
		e := math.Exp(-b[1] * x)
		return b[0] * (1 - e), []float64{1 - e, b[0] * x * e}
	},
}

// Thurber: mobility of electrons in semiconductors, observed; higher level of difficulty.
var thurber = certified{
	y: []float64{80.574, 84.248, 87.264, 87.195, 89.076, 89.608, 89.868, 90.101, 92.405, 95.854, 100.696, 101.060, 401.672,
		390.724, 567.534, 635.316, 733.054, 759.087, 894.206, 990.785, 1090.109, 1080.914, 1122.643, 1178.351, 1260.531,
		1273.514, 1288.339, 1327.543, 1353.863, 1414.509, 1425.208, 1421.384, 1442.962, 1464.350, 1468.705, 1447.894, 1457.628},
	x: []float64{-3.067, -2.981, -2.921, -2.912, -2.840, -2.797, -2.702, -2.699, -2.633, -2.481, -2.363, -2.322, -1.501,
		-1.460, -1.274, -1.212, -1.100, -1.046, -0.915, -0.714, -0.566, -0.545, -0.400, -0.309, -0.109,
		-0.103, 0.010, 0.119, 0.377, 0.790, 0.963, 1.006, 1.115, 1.572, 1.841, 2.047, 2.200},
	starts: [][]float64{{1000, 1000, 400, 40, 0.7, 0.3, 0.03}, {1300, 1500, 500, 75, 1, 0.4, 0.05}},
	want: []float64{1.2881396800e+03, 1.4910792535e+03, 5.8323836877e+02, 7.5416644291e+01, 9.6629502864e-01,
		3.9797285797e-01, 4.9727297349e-02},
	sd: []float64{4.6647963344, 3.9571156086e+01, 2.8698696102e+01, 5.5675370270, 3.1333340687e-02,
		1.4984928198e-02, 6.5842344623e-03},
	squares: 5.6427082397e+03,
	model: func(b []float64, x float64) (float64, []float64) {
		top, below := b[0]+x*(b[1]+x*(b[2]+x*b[3])), 1+x*(b[4]+x*(b[5]+x*b[6]))
		y := top / below
		return y, []float64{1 / below, x / below, x * x / below, x * x * x / below, -y * x / below, -y * x * x / below, -y * x * x * x / below}
	},
}

// MGH09: Kowalik and Osborne's enzyme reaction, problem 15 of Moré, Garbow and Hillstrom (1981); higher level of
// difficulty, with a first start that is far from everything.
var mgh09 = certified{
	y:      []float64{0.1957, 0.1947, 0.1735, 0.1600, 0.0844, 0.0627, 0.0456, 0.0342, 0.0323, 0.0235, 0.0246},
	x:      []float64{4, 2, 1, 0.5, 0.25, 0.167, 0.125, 0.1, 0.0833, 0.0714, 0.0625},
	starts: [][]float64{{25, 39, 41.5, 39}, {0.25, 0.39, 0.415, 0.39}},
	want:   []float64{1.9280693458e-01, 1.9128232873e-01, 1.2305650693e-01, 1.3606233068e-01},
	sd:     []float64{1.1435312227e-02, 1.9633220911e-01, 8.0842031232e-02, 9.0025542308e-02}, squares: 3.0750560385e-04,
	model: func(b []float64, x float64) (float64, []float64) {
		top, below := x*x+x*b[1], x*x+x*b[2]+b[3]
		y := b[0] * top / below
		return y, []float64{top / below, b[0] * x / below, -y * x / below, -y / below}
	},
}

func (c *certified) problem() lm.Problem {
	return lm.Residuals(len(c.x), len(c.want), func(b, r []float64, j *mat.Dense) {
		for i, x := range c.x {
			y, slopes := c.model(b, x)
			r[i] = y - c.y[i]
			if j != nil {
				j.SetRow(i, slopes)
			}
		}
	})
}

func TestNISTCertifiedFits(t *testing.T) {
	for name, c := range map[string]certified{"Misra1a": misra1a, "Thurber": thurber, "MGH09": mgh09} {
		for i, start := range c.starts {
			for _, opt := range []lm.Options{{GainShare: 1e-14, Tries: 2000}, {GainShare: 1e-14, Tries: 2000, Damping: 1e-2, Factor: 6}} {
				got := lm.Minimise(t.Context(), c.problem(), start, opt)
				require.InEpsilonf(t, c.squares, 2*got.Cost, 1e-9, "%s from start %d", name, i+1)
				var covariance mat.SymDense
				var factor mat.Cholesky
				require.True(t, factor.Factorize(got.Curvature))
				_ = factor.InverseTo(&covariance) // badly conditioned, as the sets are meant to be
				variance := 2 * got.Cost / float64(len(c.x)-len(c.want))
				for k, want := range c.want {
					require.InEpsilonf(t, want, got.X[k], 1e-6, "%s from start %d, b%d", name, i+1, k+1)
					require.InEpsilonf(t, c.sd[k], math.Sqrt(variance*covariance.At(k, k)), 1e-5, "%s from start %d, sd of b%d", name, i+1, k+1)
				}
			}
		}
	}
}
