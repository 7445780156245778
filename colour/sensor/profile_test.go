package sensor_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/colour/sensor"
)

// Published chromaticities and temperatures of standard lights: CIE 15:2018, table T.3.
func TestKelvinOfStandardLights(t *testing.T) {
	for _, l := range []struct{ x, y, kelvin float64 }{
		{0.44757, 0.40745, 2856}, {0.34567, 0.35850, 5003}, {0.33242, 0.34743, 5503}, {0.31271, 0.32902, 6504}, {0.29902, 0.31485, 7504},
	} {
		require.InEpsilon(t, l.kelvin, sensor.Kelvin(l.x, l.y), 0.005)
	}
	require.False(t, math.IsNaN(sensor.Kelvin(0, 0.1858)))
}

var (
	warm = colour.Matrix{{0.9, -0.3, -0.05}, {-0.5, 1.3, 0.25}, {-0.1, 0.25, 0.5}}
	cool = colour.Matrix{{0.7, -0.2, -0.08}, {-0.45, 1.25, 0.22}, {-0.08, 0.18, 0.62}}
)

// Whatever the matrices, a neutral surface becomes white, and the light that it was made in is found again.
func TestNeutralBecomesWhite(t *testing.T) {
	forward := colour.Matrix{{0.6, 0.25, 0.11}, {0.25, 0.85, -0.1}, {0.02, -0.15, 0.95}}
	for name, p := range map[string]sensor.Profile{
		"one light":   {Calibrations: [2]sensor.Calibration{{Kelvin: 6500, Matrix: cool}}},
		"two lights":  {Calibrations: [2]sensor.Calibration{{Kelvin: 2850, Matrix: warm}, {Kelvin: 6500, Matrix: cool}}},
		"other order": {Calibrations: [2]sensor.Calibration{{Kelvin: 6500, Matrix: cool}, {Kelvin: 2850, Matrix: warm}}},
		"forward": {Calibrations: [2]sensor.Calibration{
			{Kelvin: 2850, Matrix: warm, Forward: forward}, {Kelvin: 6500, Matrix: cool, Forward: forward},
		}},
		"calibrated": {
			Balance: sensor.Neutral{1, 0.9, 1.1},
			Calibrations: [2]sensor.Calibration{
				{Kelvin: 2850, Matrix: warm, Camera: colour.Matrix{{1.02}, {0, 1}, {0, 0, 0.97}}}, {Kelvin: 6500, Matrix: cool},
			},
		},
	} {
		require.True(t, p.Usable(), name)
		for _, xy := range [][2]float64{{0.3127, 0.3290}, {0.3457, 0.3585}, {0.38, 0.38}, {0.4476, 0.4074}} {
			n := p.OfWhite(xy[0], xy[1])
			x, y := p.White(n)
			require.InDelta(t, xy[0], x, 2e-3, name)
			require.InDelta(t, xy[1], y, 2e-3, name)
			white := p.ToXYZ(n).Apply(colour.XYZ{X: n[0], Y: n[1], Z: n[2]})
			require.InDelta(t, 0, colour.DeltaE2000(colour.Lab{L: 100}, white.Lab()), 1e-9, name)
		}
	}
}

// With both matrices the middle between two lights is by the inverse of their temperatures.
func TestMatricesBetweenTwoLights(t *testing.T) {
	two := sensor.Profile{Calibrations: [2]sensor.Calibration{{Kelvin: 2850, Matrix: warm}, {Kelvin: 6500, Matrix: cool}}}
	kelvin := 2 / (1/2850.0 + 1/6500.0)
	var half colour.Matrix
	for i := range half {
		for k := range half {
			half[i][k] = (warm[i][k] + cool[i][k]) / 2
		}
	}
	one := sensor.Profile{Calibrations: [2]sensor.Calibration{{Kelvin: kelvin, Matrix: half}}}
	x, y := 0.3900, 0.3850 // some light; one of that temperature is looked for
	for range 60 {
		if sensor.Kelvin(x, y) > kelvin {
			x += 1e-4
		} else {
			x -= 1e-4
		}
	}
	a, b := one.ToXYZ(one.OfWhite(x, y)), two.ToXYZ(one.OfWhite(x, y))
	for i := range a {
		for k := range a {
			require.InDelta(t, a[i][k], b[i][k], 5e-3)
		}
	}
}

func TestProfilesOfNoUse(t *testing.T) {
	for _, p := range []sensor.Profile{
		{Calibrations: [2]sensor.Calibration{{Kelvin: 6500}}},
		{Calibrations: [2]sensor.Calibration{{Kelvin: 6500, Matrix: cool}, {Kelvin: 2850}}},
		{Calibrations: [2]sensor.Calibration{{Kelvin: 6500, Matrix: colour.Matrix{{math.NaN()}, {0, 1}, {0, 0, 1}}}}},
		{Calibrations: [2]sensor.Calibration{{Kelvin: 6500, Matrix: cool}}, AsShot: sensor.Neutral{1e-9, 1, 1}},
	} {
		require.False(t, p.Usable())
	}
}

func TestLightsByTheirNumber(t *testing.T) {
	require.Equal(t, 2850.0, sensor.LightKelvin(17))
	require.Equal(t, 6500.0, sensor.LightKelvin(21))
	require.Zero(t, sensor.LightKelvin(255))
}
