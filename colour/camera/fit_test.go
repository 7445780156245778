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

func TestFitGreyCardFixesExposureAndWhiteBalance(t *testing.T) {
	cast := phone{gain: colour.LinearRGB{R: 0.9, G: 0.6, B: 0.45}, push: 1}
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
	samples[6].Skip = "glare"
	skipped, report, err := camera.Fit(samples)
	require.NoError(t, err)
	require.False(t, report.Patches[6].Used)
	require.Equal(t, "glare", report.Patches[6].Why)
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

// What the table that makes Apply quick may cost in the colours of wood: a fortieth of what
// can be seen (0.8). Elsewhere, which is near black, up to a tenth.
func TestTableIsExact(t *testing.T) {
	cool := phone{gain: colour.LinearRGB{R: 0.7, G: 0.8, B: 0.95}, contrast: 0.3, push: 1.05, field: 0.1}
	rng := rand.New(rand.NewPCG(7, 7))
	for _, cam := range []phone{warm, cool} {
		quick, _, err := camera.Fit(chartBy(cam))
		require.NoError(t, err)
		exact := camera.ExactOf(quick)
		off := func(c colour.LinearRGB) float64 { return colour.DeltaE2000(exact(c).Lab(), quick.Lab(c)) }
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

func TestSensitivityMatchesDifferences(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	for range 50 {
		camera.RequireSlopes(t, rng)
	}
}

func TestChart24Editions(t *testing.T) {
	since, before := camera.Chart24(camera.Since2014), camera.Chart24(camera.Before2014)
	sum := 0.0
	for i := range since {
		sum += colour.DeltaE2000(before[i].Lab, since[i].Lab)
	}
	require.InDelta(t, 1.0, sum/24, 0.3)
	require.Equal(t, "dark brown", since[0].Name)
	require.Equal(t, "bluish green", since[5].Name)
	require.Equal(t, "black", since[23].Name)
}

func TestNearWood(t *testing.T) {
	var near []string
	for _, p := range camera.Chart24(camera.Since2014) {
		if camera.NearWood(p.Lab) {
			near = append(near, p.Name)
		}
	}
	t.Log(near)
	require.Contains(t, near, "dark brown")
	require.Contains(t, near, "light skin")
	require.NotContains(t, near, "cyan")
	require.NotContains(t, near, "orange")
}

func BenchmarkFit(b *testing.B) {
	samples := chartBy(warm)
	for b.Loop() {
		_, _, _ = camera.Fit(samples)
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
