package camera_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/colour/internal/colourtest"
)

// The table costs at most a fortieth of what can be seen (0.8) in the colours of wood, and up to a tenth elsewhere,
// which is near black.
func TestTableIsExact(t *testing.T) {
	cool := phone{gain: colour.LinearRGB{R: 0.7, G: 0.8, B: 0.95}, contrast: 0.3, push: 1.05, field: 0.1}
	rng := rand.New(rand.NewPCG(7, 7))
	for _, cam := range []phone{warm, cool} {
		correction, _, err := camera.Fit(chartBy(cam))
		require.NoError(t, err)
		exact := camera.ExactOf(correction)
		off := func(c colour.LinearRGB) float64 { return colour.DeltaE2000(exact(c).Lab(), correction.Lab(c)) }
		wood, anywhere := 0.0, 0.0
		for range 20000 {
			l := colourtest.LabOf(20+70*rng.Float64(), 5+40*rng.Float64(), 35+65*rng.Float64())
			wood = max(wood, off(cam.record(l, camera.Position{})))
			cube := func() float64 { return math.Pow(rng.Float64(), 3) }
			anywhere = max(anywhere, off(colour.LinearRGB{R: cube(), G: cube(), B: cube()}))
		}
		t.Logf("off by ΔE00 %.3f at worst in wood, %.3f anywhere", wood, anywhere)
		require.Less(t, wood, 0.02)
		require.Less(t, anywhere, 0.1*colour.Perceptible)
	}
}
