package blend_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/colour"
	"huewright/colour/spectra"
)

// What a study of nine species found of clear coats, in direction: L* falls, chroma rises, and
// dark woods change most. Common practice has the same.
func TestClearCoatDeepens(t *testing.T) {
	var drops []float64
	for _, wood := range []colour.Lab{blendtest.Ash, blendtest.Oak, blendtest.Sapele, blendtest.Walnut} {
		dry := spectra.Smoothest(wood)
		wet := blend.ClearCoat{Wetting: 0.5}.Over(&dry)
		seen := wet.Lab()
		require.Less(t, seen.L, wood.L)
		require.Greater(t, seen.LCh().C, wood.LCh().C)
		t.Logf("%v → %v", wood, seen)
		drops = append(drops, (wood.L-seen.L)/wood.L)
		none := blend.ClearCoat{}.Over(&dry)
		require.InDelta(t, wood.L, none.Lab().L, 1e-6)
	}
	require.IsIncreasing(t, drops, "from pale to dark, the share of its lightness that a wood loses")
}

// An amber film makes a wood yellower and darker, a clear one does not.
func TestAmberYellows(t *testing.T) {
	dry := spectra.Smoothest(blendtest.Ash)
	clear, amber := blend.ClearCoat{Wetting: 0.5}.Over(&dry), blend.ClearCoat{Wetting: 0.5, Amber: 0.1}.Over(&dry)
	require.Greater(t, amber.Lab().B, clear.Lab().B+2)
	require.Less(t, amber.Lab().L, clear.Lab().L)
}
