package lm_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"huewright/internal/lm"
)

// rosenbrock is the valley of Rosenbrock (1960), Computer J. 3(3), 175–184, as the residuals that Moré, Garbow and
// Hillstrom (1981), ACM Trans. Math. Softw. 7(1), 17–41, give it as problem 1.
var rosenbrock = lm.Residuals(2, 2, func(x, r []float64, j *mat.Dense) {
	r[0], r[1] = 10*(x[1]-x[0]*x[0]), 1-x[0]
	if j != nil {
		j.Copy(mat.NewDense(2, 2, []float64{-20 * x[0], 10, -1, 0}))
	}
})

func TestRosenbrock(t *testing.T) {
	got := lm.Minimise(t.Context(), rosenbrock, []float64{-1.2, 1}, lm.Options{Gain: 1e-20})
	require.InDeltaSlice(t, []float64{1, 1}, got.X, 1e-8)
	require.InDelta(t, 0, got.Cost, 1e-16)
}

// Powell's singular function, problem 13 there: at its minimum, 0, the curvature is singular, and steps only halve the way.
func TestPowellSingular(t *testing.T) {
	p := lm.Residuals(4, 4, func(x, r []float64, j *mat.Dense) {
		b, c := x[1]-2*x[2], x[0]-x[3]
		r[0], r[1], r[2], r[3] = x[0]+10*x[1], math.Sqrt(5)*(x[2]-x[3]), b*b, math.Sqrt(10)*c*c
		if j != nil {
			j.Copy(mat.NewDense(4, 4, []float64{
				1, 10, 0, 0,
				0, 0, math.Sqrt(5), -math.Sqrt(5),
				0, 2 * b, -4 * b, 0,
				2 * math.Sqrt(10) * c, 0, 0, -2 * math.Sqrt(10) * c,
			}))
		}
	})
	got := lm.Minimise(t.Context(), p, []float64{3, -1, 0, 1}, lm.Options{Gain: 1e-24})
	require.InDeltaSlice(t, make([]float64, 4), got.X, 1e-4)
	require.Less(t, got.Cost, 1e-18)
}

// Start and result stand apart, and a step no longer than the longest is taken along each unknown.
func TestLongestStep(t *testing.T) {
	start := []float64{-1.2, 1}
	got := lm.Minimise(t.Context(), rosenbrock, start, lm.Options{Steps: 1, Longest: 0.01, Damping: 1e-6})
	require.Equal(t, []float64{-1.2, 1}, start)
	require.InDelta(t, 0.01, math.Abs(got.X[0]-start[0]), 1e-15)
	require.False(t, got.Converged)
}

// Straight residuals need one step, and the curvature there is JᵀJ; a prior is a residual more.
func TestStraightLine(t *testing.T) {
	y := []float64{1, 3, 4}
	line := func(x, r []float64, j *mat.Dense) {
		for i, v := range y {
			r[i] = x[0] + x[1]*float64(i) - v
		}
		r[3] = (x[1] - 1) / 0.5 // the slope was expected to be 1 ± 0.5
		if j != nil {
			j.Copy(mat.NewDense(4, 2, []float64{1, 0, 1, 1, 1, 2, 0, 2}))
		}
	}
	got := lm.Minimise(t.Context(), lm.Residuals(4, 2, line), []float64{0, 0}, lm.Options{Damping: 1e-9, GainShare: 1e-12})
	// By hand: (3 3; 3 9) x = (8; 15).
	require.InDeltaSlice(t, []float64{1.5, 7.0 / 6}, got.X, 1e-8)
	require.True(t, mat.EqualApprox(mat.NewSymDense(2, []float64{3, 3, 3, 9}), got.Curvature, 1e-12))
}

// Where the model leads nowhere the start comes back, and is not said to have settled.
func TestNowhereToGo(t *testing.T) {
	for name, p := range map[string]lm.Problem{
		"nothing depends on an unknown": lm.Residuals(1, 2, func(x, r []float64, j *mat.Dense) {
			r[0] = x[0] - 1
			if j != nil {
				j.Copy(mat.NewDense(1, 2, []float64{1, 0}))
			}
		}),
		"not a number": lm.Residuals(2, 2, func(_, r []float64, j *mat.Dense) {
			r[0], r[1] = math.NaN(), 1
			if j != nil {
				j.Copy(mat.NewDense(2, 2, []float64{math.NaN(), 0, 0, 1}))
			}
		}),
		"the wrong way down": lm.Residuals(2, 2, func(x, r []float64, j *mat.Dense) {
			r[0], r[1] = 1+x[0]*x[0], 1+x[1]*x[1]
			if j != nil {
				j.Copy(mat.NewDense(2, 2, []float64{1, 0, 0, 1}))
			}
		}),
		"at the minimum": lm.Residuals(2, 2, func(x, r []float64, j *mat.Dense) {
			copy(r, x)
			if j != nil {
				j.Copy(mat.NewDense(2, 2, []float64{1, 0, 0, 1}))
			}
		}),
	} {
		got := lm.Minimise(t.Context(), p, []float64{0, 0}, lm.Options{})
		require.Equal(t, []float64{0, 0}, got.X, name)
		require.False(t, got.Converged, name)
	}
}

// A step to where the model has no meaning is not taken: it is shortened until it has one again.
func TestStepsOutOfTheModel(t *testing.T) {
	p := lm.Residuals(1, 1, func(x, r []float64, j *mat.Dense) {
		r[0] = math.Log(x[0]) // least at 1; Newton's step from 10 leads to 10 − 10·ln 10, which has no logarithm
		if j != nil {
			j.Set(0, 0, 1/x[0])
		}
	})
	got := lm.Minimise(t.Context(), p, []float64{10}, lm.Options{GainShare: 1e-12})
	require.InDelta(t, 1, got.X[0], 1e-6)
}

// Steps and tries end the search where they are used up, and it says that it has not settled.
func TestStepsAndTries(t *testing.T) {
	start := []float64{-1.2, 1}
	var costs []float64
	for _, opt := range []lm.Options{{Tries: 1}, {Steps: 1}, {Steps: 5}, {Tries: 500}} {
		got := lm.Minimise(t.Context(), rosenbrock, start, opt)
		costs = append(costs, got.Cost)
	}
	require.InDelta(t, 12.1, costs[0], 1e-12, "the first try leads up the side of the valley")
	require.Less(t, costs[1], costs[0])
	require.Less(t, costs[2], costs[1])
	require.False(t, lm.Minimise(t.Context(), rosenbrock, start, lm.Options{Steps: 5}).Converged)
}

func TestNoUnknowns(t *testing.T) {
	require.Panics(t, func() { lm.Minimise(t.Context(), rosenbrock, nil, lm.Options{}) })
}
