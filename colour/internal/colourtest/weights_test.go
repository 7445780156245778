package colourtest

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func requireTable(t *testing.T, want, got [][]float64, within float64) {
	t.Helper()
	require.Len(t, got, len(want))
	for i := range want {
		require.InDeltaSlice(t, want[i], got[i], within, "row %d", i)
	}
}

// ASTM E2022, tables of Lagrange coefficients for 10 nm, and weights that colour-science
// (BSD-3) tests its own implementation with, printed to three decimals.
func TestWeightsASTME2022(t *testing.T) {
	requireTable(t, ReadNumbers(t, "examples/e2022_LAGRANGE_COEFFICIENTS_A.csv"), lagrange(10, -1, 0, 1, 2), 5e-5)
	requireTable(t, ReadNumbers(t, "examples/e2022_LAGRANGE_COEFFICIENTS_B.csv"), lagrange(10, 0, 1, 2), 5e-5)

	tenDegrees := ReadCurve(t, "spectra/colour_science/cie1964_10deg_xyz.csv")
	a := IlluminantA(360, 830)
	requireTable(t, ReadNumbers(t, "examples/e2022_TWF_A_CIE_1964_10_10.csv"), Weights(a, tenDegrees, 10), 0.6e-3)
	requireTable(t, ReadNumbers(t, "examples/e2022_TWF_A_CIE_1964_10_20.csv"), Weights(a, tenDegrees, 20), 0.6e-3)

	d65 := Weights(Illuminant(t, "D65"), Observer2(t), 20)
	requireTable(t, ReadNumbers(t, "examples/e2022_TWF_D65_CIE_1931_2_20.csv"), d65, 0.6e-3)
	requireTable(t, ReadNumbers(t, "examples/e2022_TWF_D65_CIE_1931_2_20_A.csv"), Truncate(d65, 2, 17), 1.1e-3)
}
