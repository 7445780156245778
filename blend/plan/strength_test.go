package plan

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
)

// Whole parts come within 5 % of a strength, in the fewest there are; a mix of nearly full strength is left as it is.
func TestStrengthParts(t *testing.T) {
	for share, want := range map[float64][2]int{0.5: {1, 1}, 0.75: {3, 1}, 2.0 / 3: {2, 1}, 0.4: {2, 3}, 0.25: {1, 3}, 0.2: {1, 4},
		0.9:  {6, 1},
		0.99: {1, 0}, 1: {1, 0}} {
		mix, thinner := strengthParts(share)
		require.Equal(t, want, [2]int{mix, thinner}, share)
	}
	for share := 0.02; share <= nearFull; share += 0.005 {
		mix, thinner := strengthParts(share)
		require.Less(t, math.Abs(float64(mix)/float64(mix+thinner)-share), 0.051*share, share)
	}
}

// A target a little short of two coats asks for no other mix.
func TestNearlyFullStrengthSaysNothing(t *testing.T) {
	for n := 1.88; n < 1.99; n += 0.02 {
		target := blendtest.ColourOver(blendtest.RedWash, blendtest.Ash, n)
		plan, err := planArea(t.Context(), blendtest.Ash, target, []*blend.Coating{blendtest.RedWash},
			Options{Price: littlePrice, Tolerance: 0.01})
		require.NoError(t, err)
		require.Equal(t, 2, plan.Coats[0].Count, n)
		require.NotContains(t, codes(plan.Why), "plan.thin-the-mix", n)
		require.NotContains(t, codes(plan.Why), "plan.between-coats", n)
	}
}
