package stat

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// Definition 7 of Hyndman and Fan (1996) by hand: the share q of five values stands at place 4q from the lowest.
func TestQuantiles(t *testing.T) {
	values := []float64{9, 1, 4, 2, 30}
	require.Equal(t, []float64{1, 2, 4, 9, 30}, Quantiles(values, 0, 0.25, 0.5, 0.75, 1))
	require.InDelta(t, 4+0.6*5, Quantile(values, 0.65), 1e-12)
	require.Equal(t, []float64{9, 1, 4, 2, 30}, values, "they stay as they are")
	require.Equal(t, 7.0, Quantile([]float64{7}, 0.3))
	require.Panics(t, func() { Quantiles(nil, 0.5) })
}

// Of many values, grouped, a quantile lies by the order statistics beside it, to a bin's width.
func TestQuantilesOfMany(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 1))
	const n = 3 * quantileBins
	values := make([]float64, n)
	for i := range values {
		values[i] = 50 + 8*rng.NormFloat64()
	}
	sorted := slices.Sorted(slices.Values(values))
	width := (sorted[n-1] - sorted[0]) / quantileBins
	for _, share := range []float64{0, 0.001, 0.01, 0.3, 0.5, 0.9, 0.999, 1} {
		at, got := int(share*n), Quantile(values, share)
		require.GreaterOrEqual(t, got, sorted[max(at-1, 0)]-width, "%v", share)
		require.LessOrEqual(t, got, sorted[min(at+1, n-1)]+width, "%v", share)
	}
}

func TestQuantilesOfOneValue(t *testing.T) {
	many := slices.Repeat([]float64{7}, quantileBins+10)
	require.Equal(t, []float64{7, 7, 7}, Quantiles(many, 0, 0.5, 1))
}

func TestGroupedQuantile(t *testing.T) {
	require.InDelta(t, 2.5, GroupedQuantile([]float64{0, 0, 1}, 0.5), 1e-12)
	require.InDelta(t, 2.9, GroupedQuantile([]float64{0, 0, 1}, 0.9), 1e-12)
	require.InDelta(t, 1, GroupedQuantile([]float64{1, 1}, 1), 1e-12)
	require.InDelta(t, 1.25, GroupedQuantile([]float64{1, 4, 0}, 2), 1e-12)
	require.InDelta(t, 1, GroupedQuantile([]float64{0, 3}, 0), 1e-12, "an empty class has no place in it")
	require.InDelta(t, 2, GroupedQuantile([]float64{1, 1}, 3), 1e-12, "never")
	require.False(t, math.IsNaN(GroupedQuantile([]float64{0, 0}, 0)))
}

func TestMidRank(t *testing.T) {
	sorted := []float64{1, 2, 2, 2, 5}
	for v, want := range map[float64]float64{0: 0, 1: 0.1, 1.5: 0.2, 2: 0.5, 3: 0.8, 5: 0.9, 6: 1} {
		require.InDelta(t, want, MidRank(sorted, v), 1e-12, "%v", v)
	}
}
