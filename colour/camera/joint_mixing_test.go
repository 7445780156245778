package camera

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"huewright/colour"
)

func TestMixingLaws(t *testing.T) {
	same := mixingBy([3]float64{0.3, 0.3, 0.3})
	for i, row := range same.expected {
		for k, v := range row {
			require.InDelta(t, 0, v, 1e-12, "%d, %d: an exposure mixes nothing", i, k)
		}
	}
	other := mixingBy([3]float64{0.1, -0.05, 0.02})
	for i, row := range other.expected {
		require.InDelta(t, 0, row[0]+row[1]+row[2], 1e-9, "%d: greys stay as the gains have them", i)
	}
	require.Positive(t, other.sd)
	var back mat.Dense
	require.NoError(t, back.Inverse(usualMixing))
	require.GreaterOrEqual(t, mat.Min(&back), 0.0)
}

// Greys alone tie two photos by a sensor whose matrix is not the usual one, its white balanced by a tenth otherwise in red and in blue: a
// brown and a red agree, and better than by gains.
func TestGreysTellHowChannelsAreMixed(t *testing.T) {
	own := mat.NewDense(3, 3, []float64{2.15, -1.15, 0, -0.25, 1.75, -0.5, 0.1, -0.75, 1.65})
	var back mat.Dense
	require.NoError(t, back.Inverse(own))
	seen := func(c colour.LinearRGB, balance [3]float64) colour.LinearRGB {
		var out mat.VecDense
		var by mat.Dense
		by.Product(own, mat.NewDiagDense(3, balance[:]), &back)
		out.MulVec(&by, mat.NewVecDense(3, []float64{c.R, c.G, c.B}))
		return colour.LinearRGB{R: out.AtVec(0), G: out.AtVec(1), B: out.AtVec(2)}
	}
	balances := [2][3]float64{{1, 1, 1}, {1.1, 1, 0.9}}
	var views [2]PhotoView
	for i, balance := range balances {
		for _, grey := range []float64{0.8, 0.4, 0.15} {
			views[i].Ties = append(views[i].Ties,
				TiePoint{Name: fmt.Sprint(grey), Camera: seen(colour.LinearRGB{R: grey, G: grey, B: grey}, balance)})
		}
	}
	j, err := FitJoint(t.Context(), views[:])
	require.NoError(t, err)
	for _, c := range []colour.LinearRGB{{R: 0.3, G: 0.16, B: 0.08}, {R: 0.35, G: 0.05, B: 0.05}} {
		a, b := j.Correction(0).Lab(seen(c, balances[0])), j.Correction(1).Lab(seen(c, balances[1]))
		white := seen(colour.LinearRGB{R: 1, G: 1, B: 1}, balances[1])
		plain := seen(c, balances[1])
		plain = colour.LinearRGB{R: plain.R / white.R, G: plain.G / white.G, B: plain.B / white.B}
		off, byGains := colour.DeltaE2000(a, b), colour.DeltaE2000(c.Lab(), plain.Lab())
		require.Less(t, off, 0.5*byGains, c)
		require.LessOrEqual(t, off, j.PlusMinusBetween(0, a, 1, b), c)
	}
}
