package camera_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/internal/fault"
)

var plainPhone = phone{gain: colour.LinearRGB{R: 0.8, G: 0.9, B: 0.7}, contrast: 0.3, push: 1.1}

// lit is a chart under light that is a factor of each channel at each place.
func lit(light func(at camera.Position) [3]float64) []camera.Sample {
	samples := chartBy(plainPhone)
	for i, s := range samples {
		k := light(s.At)
		samples[i].Camera = colour.LinearRGB{R: k[0] * s.Camera.R, G: k[1] * s.Camera.G, B: k[2] * s.Camera.B}
	}
	return samples
}

func grey(k float64) [3]float64 { return [3]float64{k, k, k} }

func TestOneLightIsOne(t *testing.T) {
	_, told := camera.FindLights(chartBy(plainPhone))
	require.False(t, told)
	faint := plainPhone
	faint.field = 0.15
	_, told = camera.FindLights(chartBy(faint))
	require.False(t, told, "the model has a field of its own")
}

// Four columns in shadow are more than half: the second light is that on the other two.
func TestAShadowIsTold(t *testing.T) {
	shaded := func(at camera.Position) bool { return at.X > -0.2 }
	samples := lit(func(at camera.Position) [3]float64 {
		if shaded(at) {
			return grey(0.45)
		}
		return grey(1)
	})
	l, told := camera.FindLights(samples)
	require.True(t, told)
	for i, s := range samples {
		require.Equal(t, !shaded(s.At), l.Second[i], s.Name)
	}
	require.InDelta(t, -math.Log(0.45), l.Change, 0.2)
	require.InDelta(t, 0, l.Hue, 0.1)
	require.Less(t, camera.FitError(l.Relit(samples)), 0.6*camera.FitError(samples))
}

func TestLightThatChangesEvenlyIsTold(t *testing.T) {
	l, told := camera.FindLights(lit(func(at camera.Position) [3]float64 { return grey(math.Exp(1.2 * at.X)) }))
	require.True(t, told)
	require.Nil(t, l.Second)
	require.InDelta(t, 1.2, l.Change, 0.3)
	require.Less(t, l.Hue, 0.3)

	l, told = camera.FindLights(lit(func(at camera.Position) [3]float64 {
		return [3]float64{math.Exp(0.6 * at.X), 1, math.Exp(-0.6 * at.X)}
	}))
	require.True(t, told)
	require.Nil(t, l.Second)
	require.InDelta(t, 1.2, l.Hue, 0.4)
}

// A few samples in doubt, or too few samples, tell nothing.
func TestLightsNeedSamples(t *testing.T) {
	samples := lit(func(at camera.Position) [3]float64 { return grey(1 - 0.5*math.Round(at.X+0.5)) })
	_, told := camera.FindLights(samples[:11])
	require.False(t, told)
	for i := range 14 {
		samples[i].Skip = fault.Say(fault.Said, "text", "burnt out")
	}
	_, told = camera.FindLights(samples)
	require.False(t, told)
}
