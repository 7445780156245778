package camera

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
)

// Recorded undoes Apply, for corrections by a chart as a bent camera with coloured light needs them.
func TestRecordedUndoesApply(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 8))
	for range 5 {
		gain, bend := [3]float64{}, 0.9+0.2*rng.Float64()
		for i := range gain {
			gain[i] = math.Exp(0.2 * rng.NormFloat64())
		}
		camera := func(c colour.LinearRGB) colour.LinearRGB {
			channel := func(k int, v float64) float64 { return gain[k] * math.Pow(max(v, 0), bend) }
			return colour.LinearRGB{R: channel(0, c.R), G: channel(1, c.G), B: channel(2, c.B)}
		}
		var samples []Sample
		for _, patch := range Chart24(Since2014) {
			samples = append(samples, Sample{Name: patch.Name, Camera: camera(patch.Lab.LinearRGB()), Want: patch.Lab})
		}
		fitted, _, err := Fit(samples)
		require.NoError(t, err)
		plain, _, err := Fit(nil)
		require.NoError(t, err)
		for _, c := range []*Correction{fitted, plain} {
			for range 200 {
				wood := colour.Lab{L: 20 + 70*rng.Float64(), A: 15 * rng.Float64(), B: 35 * rng.Float64()}
				was := camera(wood.LinearRGB())
				was.B = max(was.B, 0.002)
				near := colour.LinearRGB{R: was.R * (0.6 + rng.Float64()), G: was.G * (0.6 + rng.Float64()), B: was.B * (0.6 + rng.Float64())}
				back := c.Apply(c.Recorded(c.Apply(was), near))
				require.Less(t, colour.DeltaE2000(c.Lab(was), back.Lab()), 0.02, "%v", was)
			}
		}
	}
	// What no record gives is no fault: the nearest has no channel below 0.
	plain, _, err := Fit(nil)
	require.NoError(t, err)
	nearest := plain.Recorded(colour.Lab{L: 50, A: 150, B: -150}.XYZ(), colour.LinearRGB{R: 0.2, G: 0.2, B: 0.2})
	require.GreaterOrEqual(t, min(nearest.R, nearest.G, nearest.B), 0.0)
}
