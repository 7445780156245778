package colour

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"
)

// The mean is that of light, not of Lab: half black and half white reflect 50 %, L* 76.07.
// Source of the number: CIE 15:2018, 8.2.1, with Y/Yn = 0.5.
func TestSummariseAveragesLight(t *testing.T) {
	r := Summarise([]XYZ{{}, WhiteD65})
	require.InDelta(t, 116*math.Cbrt(0.5)-16, r.Mean.L, 1e-6)
	require.InDelta(t, 0, r.Mean.A, 1e-6)
	require.InDelta(t, 0, r.Mean.B, 1e-6)
	require.InDelta(t, 50, r.Spread[0], 1e-6, "of L* 0 and 100")
	require.InDelta(t, 100, r.Ground.L, 1e-6)
	require.InDelta(t, 0, r.Figure.L, 1e-6)
	require.Equal(t, 2, r.Pixels)
}

func randomLight(n int) []XYZ {
	rng := rand.New(rand.NewPCG(3, 4))
	light := make([]XYZ, n)
	for i := range light {
		grain := rng.NormFloat64()
		light[i] = Lab{55 + 5*grain, 12 - grain + rng.NormFloat64(), 25 + 2*grain}.XYZ()
	}
	return light
}

// Covariance and spread agree with gonum's, quantiles with sorting, on sets of both sizes.
func TestSummariseStatistics(t *testing.T) {
	for _, n := range []int{1, 2, 300, 50_000} {
		light := randomLight(n)
		r := Summarise(light)
		moments := labMoments(light, make([]float64, n))
		covariance := moments.Covariance()
		var axes [3][]float64
		for _, c := range light {
			lab := c.Lab()
			axes[0], axes[1], axes[2] = append(axes[0], lab.L), append(axes[1], lab.A), append(axes[2], lab.B)
		}
		for i := range 3 {
			for j := range 3 {
				want := 0.0
				if n > 1 {
					want = stat.Covariance(axes[i], axes[j], nil) * float64(n-1) / float64(n)
				}
				require.InDelta(t, want, covariance[i][j], 1e-9)
				if i == j {
					require.InDelta(t, math.Sqrt(want), r.Spread[i], 1e-9)
				}
			}
		}
		slices.Sort(axes[0])
		for i, share := range []float64{0.05, 0.25, 0.5, 0.75, 0.95} {
			want := axes[0][int(math.Round(share*float64(n-1)))]
			require.InDelta(t, want, r.LQuantiles[i], 0.02+50/float64(n)*5, "n %d, share %g", n, share)
		}
		require.GreaterOrEqual(t, r.Ground.L, r.Mean.L-1e-9)
		require.LessOrEqual(t, r.Figure.L, r.Mean.L+1e-9)
		if n > 1000 { // a normal's quarter beyond ±0.674 sd has its mean at ±1.271 sd
			require.InDelta(t, 55+1.271*5, r.Ground.L, 0.3)
			require.InDelta(t, 55-1.271*5, r.Figure.L, 0.3)
		}
	}
}

func TestSummaryOfNoLight(t *testing.T) {
	require.Panics(t, func() { Summarise(nil) })
}

func BenchmarkSummarise(b *testing.B) {
	light := randomLight(100_000)
	for b.Loop() {
		Summarise(light)
	}
	b.ReportMetric(float64(b.N)*float64(len(light))/1e6/b.Elapsed().Seconds(), "Mpx/s")
}
