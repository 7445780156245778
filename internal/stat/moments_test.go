package stat

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	gonum "gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distmv"
)

// some are triples that vary together, far from 0.
func some(n int, seed uint64) [][3]float64 {
	rng := rand.New(rand.NewPCG(seed, 1))
	out := make([][3]float64, n)
	for i := range out {
		by := 3 * rng.NormFloat64()
		out[i] = [3]float64{50 + by, 12 - 0.3*by + 0.2*rng.NormFloat64(), 22 + 0.4*by + 0.2*rng.NormFloat64()}
	}
	return out
}

func added(all [][3]float64, from [3]float64) *Moments {
	m := &Moments{Origin: from}
	for _, v := range all {
		m.Add(v)
	}
	return m
}

// requireMoments holds moments against another's two passes over the triples.
func requireMoments(t *testing.T, all [][3]float64, m *Moments) {
	t.Helper()
	n := float64(len(all))
	table := mat.NewDense(len(all), 3, nil)
	for i := range all {
		table.SetRow(i, all[i][:])
	}
	var cov mat.SymDense
	gonum.CovarianceMatrix(&cov, table, nil)
	got := m.Covariance()
	for i, mean := range m.mean() {
		require.InDelta(t, gonum.Mean(mat.Col(nil, i, table), nil), mean, 1e-12*(1+math.Abs(mean)))
		for k := range got {
			require.InDelta(t, cov.At(i, k)*(n-1)/n, got[i][k], 1e-9)
		}
	}
}

func TestMoments(t *testing.T) {
	all := some(400, 3)
	requireMoments(t, all, added(all, [3]float64{}))
	requireMoments(t, all, added(all, all[0]))
}

// Counted from near them, triples far from 0 keep the digits of their spread.
func TestMomentsFarFromZero(t *testing.T) {
	all := some(400, 3)
	for i := range all {
		all[i][0] += 1e7
	}
	requireMoments(t, all, added(all, all[0]))
}

// However triples are parted, wherever each part is counted from, the moments are those of all.
func TestMergeIsTheWhole(t *testing.T) {
	all := some(300, 4)
	for _, cuts := range [][2]int{{1, 2}, {100, 200}, {0, 300}, {299, 299}} {
		m := added(all[:cuts[0]], [3]float64{50, 0, 0})
		m.Floor = 0
		m.Merge(added(all[cuts[0]:cuts[1]], [3]float64{0, 10, 20}))
		m.Merge(added(all[cuts[1]:], [3]float64{}))
		requireMoments(t, all, m)
	}
}

func TestDistance(t *testing.T) {
	var m Moments
	for _, v := range [][3]float64{{2, 0, 0}, {-2, 0, 0}, {0, 1, 0}, {0, -1, 0}} {
		m.Add(v) // variances 2 and ½; the third never varies
	}
	require.InDelta(t, 3/math.Sqrt(2), m.Distance([3]float64{3, 0, 0}), 1e-12)
	require.InDelta(t, math.Sqrt(9/2.0+4/0.5), m.Distance([3]float64{3, 2, 99}), 1e-12, "what never varies does not count")
	require.Zero(t, added(some(1, 1), [3]float64{}).Distance([3]float64{1, 2, 3}), "of one nothing is known")
	require.True(t, math.IsNaN(added([][3]float64{{1, 2, math.NaN()}, {1, 2, 3}}, [3]float64{}).Distance([3]float64{})))
}

// What is taken away as beyond the usual leaves what is just usual, and nothing is taken from what is.
func TestResidualOutside(t *testing.T) {
	m := Moments{Floor: 1e-6}
	rng := rand.New(rand.NewPCG(3, 1))
	for range 400 {
		by := 3 * rng.NormFloat64()
		m.Add([3]float64{by, -0.3*by + 0.2*rng.NormFloat64(), 0.4*by + 0.2*rng.NormFloat64()})
	}
	const radius = 2.8
	require.Zero(t, m.ResidualOutside([3]float64{3, -0.9, 1.2}, radius))
	for _, v := range [][3]float64{{3, 3, 1}, {20, 0, 0}, {0, 1, 1}} {
		by := m.ResidualOutside(v, radius)
		left := [3]float64{v[0] - by[0], v[1] - by[1], v[2] - by[2]}
		require.InDelta(t, radius, m.Distance(left), 1e-3, "%v", v)
	}
	redder := m.ResidualOutside([3]float64{2, 2, 0.8}, radius)
	require.Greater(t, redder[1], 1.0, "what the others hardly have is beyond the usual")
	require.Less(t, redder[0], redder[1], "and little of what they have")
}

// The difference of two densities is that of gonum's normal distribution.
func TestLogDensity(t *testing.T) {
	m := added(some(50, 6), [3]float64{})
	m.Floor = 0.09
	cov, mean := m.Covariance(), m.mean()
	normal, ok := distmv.NewNormal(mean[:], symmetric(&cov), nil)
	require.True(t, ok)
	constant := 1.5 * math.Log(2*math.Pi)
	for _, v := range [][3]float64{{}, mean, {48, 13, 21}} {
		require.InEpsilon(t, normal.LogProb(v[:]), m.LogDensity(v)-constant, 1e-9, "%v", v)
	}
}

func BenchmarkDistance(b *testing.B) {
	m := added(some(300, 3), [3]float64{})
	for b.Loop() {
		m.Distance([3]float64{3, 3, 1})
	}
}
