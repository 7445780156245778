package colour_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/colour/internal/colourtest"
)

// The two colours are worked examples of the Python library colour-science (BSD-3), for
// XYZ_to_Lab with the D65 white of xy .3127, .3290.
func TestXYZToLabWorkedExamples(t *testing.T) {
	colourtest.RequireLab(t, colour.Lab{L: 41.52787529, A: 52.63858304, B: 26.92317922},
		colour.XYZ{X: 0.20654008, Y: 0.12197225, Z: 0.05136952}.Lab(), 1e-7)
	colourtest.RequireLab(t, colour.Lab{L: 55.11636304, A: -41.08791787, B: 30.91825778},
		colour.XYZ{X: 0.14222010, Y: 0.23042768, Z: 0.10495772}.Lab(), 1e-7)
}

func TestConversionsThereAndBack(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		rgb := colour.LinearRGB{R: rng.Float64()*1.4 - 0.2, G: rng.Float64()*1.4 - 0.2, B: rng.Float64()*1.4 - 0.2}
		lab := rgb.Lab()
		back := lab.LinearRGB()
		require.InDelta(t, rgb.R, back.R, 1e-9)
		require.InDelta(t, rgb.G, back.G, 1e-9)
		require.InDelta(t, rgb.B, back.B, 1e-9)
		lch := lab.LCh()
		require.True(t, lch.H >= 0 && lch.H < 360)
		colourtest.RequireLab(t, lab, colourtest.LabOf(lch.L, lch.C, lch.H), 1e-9)
	}
}

func TestEightBitColoursSurvive(t *testing.T) {
	for v := range 256 {
		c := colour.RGB8{R: uint8(v), G: uint8(255 - v), B: 128}
		require.Equal(t, c, c.Linear().Encode())
		parsed, err := colour.ParseHex(c.Hex())
		require.NoError(t, err)
		require.Equal(t, c, parsed)
	}
	_, err := colour.ParseHex("#8a5a3")
	require.ErrorContains(t, err, "#8a5a3")
}

func TestWhiteAndBlack(t *testing.T) {
	colourtest.RequireLab(t, colour.Lab{L: 100}, colour.LinearRGB{R: 1, G: 1, B: 1}.Lab(), 1e-9)
	colourtest.RequireLab(t, colour.Lab{}, colour.LinearRGB{}.Lab(), 1e-9)
	require.Zero(t, colour.Lab{L: 50}.LCh().H)
}
