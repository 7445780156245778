package colour_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
)

func TestRadius95Limits(t *testing.T) {
	wood := colour.Lab{L: 62, A: 11, B: 22}
	alike := [3][3]float64{{1}, {0, 1}, {0, 0, 1}}
	require.InEpsilon(t, colour.DeviationsIn95*colour.RMSDeltaE(wood, alike), colour.Radius95(wood, alike), 0.02)
	lightness := [3][3]float64{{1}}
	require.InEpsilon(t, 1.96*colour.RMSDeltaE(wood, lightness), colour.Radius95(wood, lightness), 1e-3)
	require.Zero(t, colour.Radius95(wood, [3][3]float64{}))
}

// Normal errors lie within the radius 95 times in 100, whatever their shape.
func TestRadius95Holds(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 5))
	for range 40 {
		wood := colour.Lab{L: 30 + 50*rng.Float64(), A: 20 * rng.Float64(), B: 30 * rng.Float64()}
		var mix, cov [3][3]float64
		for i := range mix {
			for k := range mix {
				mix[i][k] = 0.4 * rng.NormFloat64() * rng.Float64()
			}
		}
		for i := range cov {
			for k := range cov {
				for m := range mix {
					cov[i][k] += mix[i][m] * mix[k][m]
				}
			}
		}
		radius, held := colour.Radius95(wood, cov), 0
		const draws = 4000
		for range draws {
			z, off := [3]float64{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}, [3]float64{}
			for i := range off {
				for m := range z {
					off[i] += mix[i][m] * z[m]
				}
			}
			if colour.DeltaE2000(wood, colour.Lab{L: wood.L + off[0], A: wood.A + off[1], B: wood.B + off[2]}) <= radius {
				held++
			}
		}
		require.InDelta(t, 0.95, float64(held)/draws, 0.03)
	}
}
