package colour_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
)

// Bruce Lindbloom's table of Bradford matrices, D50 to D65.
func TestAdaptationBradfordD50ToD65(t *testing.T) {
	want := colour.Matrix{
		{0.9555766, -0.0230393, 0.0631636},
		{-0.0282895, 1.0099416, 0.0210077},
		{0.0122982, -0.0204830, 1.3299098},
	}
	// The table was made with ASTM E308 whites, a little off ours in the fourth decimal.
	d50 := colour.XYZ{X: 0.96422, Y: 1, Z: 0.82521}
	d65 := colour.XYZ{X: 0.95047, Y: 1, Z: 1.08883}
	got := colour.Adaptation(d50, d65)
	for i := range 3 {
		require.InDeltaSlice(t, want[i][:], got[i][:], 1e-7)
	}
}

func TestAdaptationTakesWhiteToWhite(t *testing.T) {
	got := colour.Adaptation(colour.WhiteA, colour.WhiteD65).Apply(colour.WhiteA)
	require.InDelta(t, colour.WhiteD65.X, got.X, 1e-12)
	require.InDelta(t, colour.WhiteD65.Y, got.Y, 1e-12)
	require.InDelta(t, colour.WhiteD65.Z, got.Z, 1e-12)
}

func TestMatrixInverse(t *testing.T) {
	m := colour.Adaptation(colour.WhiteD50, colour.WhiteD65)
	id := m.Mul(m.Inverse())
	for i := range 3 {
		for j := range 3 {
			want := 0.0
			if i == j {
				want = 1
			}
			require.InDelta(t, want, id[i][j], 1e-12)
		}
	}
	require.Panics(t, func() { colour.Matrix{}.Inverse() })
}
