package colourtest

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
)

// LabOf is a colour by its lightness, chroma and hue in degrees.
func LabOf(l, c, h float64) colour.Lab {
	sin, cos := math.Sincos(h * math.Pi / 180)
	return colour.Lab{L: l, A: c * cos, B: c * sin}
}

// RequireLab holds two colours to be the same within so much in each coordinate.
func RequireLab(t *testing.T, want, got colour.Lab, within float64) {
	t.Helper()
	require.InDelta(t, want.L, got.L, within)
	require.InDelta(t, want.A, got.A, within)
	require.InDelta(t, want.B, got.B, within)
}
