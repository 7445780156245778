package camera_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/internal/fault"
)

// phone is a camera made up for these tests: white balance off, contrast added by a curve,
// colours pushed. It is not of the form the fit assumes.
type phone struct {
	gain     colour.LinearRGB
	contrast float64
	push     float64
	field    float64 // light from left to right, as a share
}

func (p phone) record(c colour.Lab, at camera.Position) colour.LinearRGB {
	rgb := c.LinearRGB()
	light := 1 + p.field*at.X
	channel := func(v, gain float64) float64 {
		v *= gain * light
		grey := (rgb.R + rgb.G + rgb.B) / 3 * gain * light
		v = grey + p.push*(v-grey)
		v = max(v, 0.002)
		s := math.Pow(v, 1/2.2)
		s += p.contrast * s * (1 - s) * (s - 0.5)
		return math.Pow(s, 2.2)
	}
	return colour.LinearRGB{R: channel(rgb.R, p.gain.R), G: channel(rgb.G, p.gain.G), B: channel(rgb.B, p.gain.B)}
}

func chartBy(p phone) []camera.Sample {
	var samples []camera.Sample
	for i, patch := range camera.Chart24(camera.Since2014) {
		at := camera.Position{X: (float64(i%6)+0.5)/6 - 0.5, Y: (float64(i/6)+0.5)/4 - 0.5}
		samples = append(samples, camera.Sample{Name: patch.Name, Camera: p.record(patch.Lab, at), Want: patch.Lab, At: at})
	}
	return samples
}

var warm = phone{gain: colour.LinearRGB{R: 0.95, G: 0.8, B: 0.6}, contrast: 0.6, push: 1.15}

func TestFitRecoversColoursOfAChart(t *testing.T) {
	correction, report, err := camera.Fit(chartBy(warm))
	require.NoError(t, err)
	require.Less(t, report.MeanDeltaE, 1.0)
	require.Less(t, report.LOOMean, 1.5)
	require.Greater(t, report.LOOMean, report.MeanDeltaE, "leaving a patch out cannot make it easier")
	require.Len(t, report.Patches, 24)
	for _, wood := range []colour.Lab{{L: 80, A: 4, B: 19}, {L: 62, A: 11, B: 22}, {L: 45, A: 17, B: 20}} {
		before := colour.DeltaE2000(wood, warm.record(wood, camera.Position{}).Lab())
		after := colour.DeltaE2000(wood, correction.Lab(warm.record(wood, camera.Position{})))
		require.Greater(t, before, 7.0)
		require.Less(t, after, 1.5)
		require.Less(t, after, correction.PlusMinus(wood))
	}
}

func TestFitTakesTheLightOverTheChartForWhatItIs(t *testing.T) {
	uneven := warm
	uneven.field = 0.2
	correction, report, err := camera.Fit(chartBy(uneven))
	require.NoError(t, err)
	require.Less(t, report.LOOMean, 1.8)
	wood := colour.Lab{L: 62, A: 11, B: 22}
	require.Less(t, colour.DeltaE2000(wood, correction.Lab(uneven.record(wood, camera.Position{}))), 1.8)
}

func TestFitWithoutSamplesTakesSRGBAtItsWord(t *testing.T) {
	correction, report, err := camera.Fit(nil)
	require.NoError(t, err)
	c := colour.LinearRGB{R: 0.4, G: -0.01, B: 0.2}
	want, got := c.XYZ(), correction.Apply(c)
	// To the last digit only where no multiplication and addition are fused.
	require.InDeltaSlice(t, []float64{want.X, want.Y, want.Z}, []float64{got.X, got.Y, got.Z}, 1e-12)
	require.Empty(t, report.Patches)
	require.Greater(t, correction.PlusMinus(colour.Lab{L: 62, A: 11, B: 22}), 15.0, "an unknown exposure is worth a lot of L*")
}

// The camera adds contrast and strengthens colours, as cameras do: a card does not tell, and they are expected to.
func TestFitGreyCardFixesExposureAndWhiteBalance(t *testing.T) {
	cast := phone{gain: colour.LinearRGB{R: 0.9, G: 0.6, B: 0.45}, contrast: 0.6, push: 1.15}
	grey := colour.Lab{L: 50}
	one := []camera.Sample{{Name: "grey card", Camera: cast.record(grey, camera.Position{}), Want: grey}}
	correction, _, err := camera.Fit(one)
	require.NoError(t, err)
	got := correction.Lab(one[0].Camera)
	require.Less(t, colour.DeltaE2000(grey, got), 0.5)
	wood := colour.Lab{L: 55, A: 12, B: 21}
	recorded := cast.record(wood, camera.Position{})
	require.Less(t, colour.DeltaE2000(wood, correction.Lab(recorded)), 0.3*colour.DeltaE2000(wood, recorded.Lab()))

	nothing, _, err := camera.Fit(nil)
	require.NoError(t, err)
	require.Less(t, correction.PlusMinus(wood), nothing.PlusMinus(wood)/2)

	paper := colour.Lab{L: 94}
	two := append(one, camera.Sample{Name: "paper", Camera: cast.record(paper, camera.Position{}), Want: paper})
	surer, _, err := camera.Fit(two)
	require.NoError(t, err)
	require.Less(t, surer.PlusMinus(colour.Lab{L: 80, A: 4, B: 19}), correction.PlusMinus(colour.Lab{L: 80, A: 4, B: 19}))
}

// What stands in the way of one patch, glare say, must not reach the others.
func TestFitSkipsWhatItIsTold(t *testing.T) {
	samples := chartBy(warm)
	clean, _, err := camera.Fit(samples)
	require.NoError(t, err)
	samples[6].Camera = colour.LinearRGB{R: 1, G: 1, B: 1}
	samples[6].Skip = fault.Say(fault.Said, "text", "glare")
	skipped, report, err := camera.Fit(samples)
	require.NoError(t, err)
	require.False(t, report.Patches[6].Used)
	require.Equal(t, fault.Say(fault.Said, "text", "glare"), report.Patches[6].Why)
	require.True(t, math.IsNaN(report.Patches[6].LeftOut))
	wood := warm.record(colour.Lab{L: 55, A: 12, B: 21}, camera.Position{})
	require.Less(t, colour.DeltaE2000(clean.Lab(wood), skipped.Lab(wood)), 1.0)
}

func TestFitRefusesWhatIsNoColour(t *testing.T) {
	samples := chartBy(warm)
	samples[3].Camera.G = math.NaN()
	_, _, err := camera.Fit(samples)
	require.ErrorContains(t, err, "leaf green")
}

func BenchmarkFit(b *testing.B) {
	samples := chartBy(warm)
	for b.Loop() {
		_, _, _ = camera.Fit(samples)
	}
}
