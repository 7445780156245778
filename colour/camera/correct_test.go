package camera_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/colour/camera"
)

// Black, and the negative values of colours outside the gamut, must come out finite and
// without a jump.
func TestCorrectionIsContinuousThroughBlack(t *testing.T) {
	correction, _, err := camera.Fit(chartBy(warm))
	require.NoError(t, err)
	last := correction.Lab(colour.LinearRGB{R: -0.01, G: -0.01, B: -0.01})
	for i := -1000; i <= 2000; i++ {
		v := float64(i) / 1e5
		got := correction.Lab(colour.LinearRGB{R: v, G: v, B: v})
		require.True(t, got.IsFinite())
		require.Less(t, colour.DeltaE76(last, got), 0.6)
		last = got
	}
}

func BenchmarkCorrectionApply(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 2))
	wood := make([]colour.LinearRGB, 4096)
	for i := range wood {
		v := 0.1 + 0.5*rng.Float64()
		wood[i] = colour.LinearRGB{R: v, G: v * (0.5 + 0.2*rng.Float64()), B: v * (0.25 + 0.2*rng.Float64())}
	}
	grey := colour.Lab{L: 50}
	for _, known := range []struct {
		name    string
		samples []camera.Sample
	}{{"chart", chartBy(warm)}, {"card", []camera.Sample{{Camera: warm.record(grey, camera.Position{}), Want: grey}}}} {
		b.Run(known.name, func(b *testing.B) {
			correction, _, err := camera.Fit(known.samples)
			require.NoError(b, err)
			for i := 0; b.Loop(); i++ {
				correction.Apply(wood[i%len(wood)])
			}
		})
	}
}

// Two colours of one photo share what the photo gets wrong.
func TestDifferencesAreSurerThanColours(t *testing.T) {
	wood, like, unlike := colour.Lab{L: 55, A: 12, B: 21}, colour.Lab{L: 56, A: 12, B: 22}, colour.Lab{L: 80, A: 4, B: 19}
	grey := colour.Lab{L: 50}
	card := camera.Sample{Camera: warm.record(grey, camera.Position{}), Want: grey}
	for _, samples := range [][]camera.Sample{nil, {card}, chartBy(warm)} {
		c, _, err := camera.Fit(samples)
		require.NoError(t, err)
		require.InDelta(t, 0, c.PlusMinusBetween(wood, wood), 1e-6) // a root of what fused rounding leaves
		require.Less(t, c.PlusMinusBetween(wood, like), c.PlusMinus(wood)/3)
		require.Less(t, c.PlusMinusBetween(wood, like), c.PlusMinusBetween(wood, unlike))
	}
}
