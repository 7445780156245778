package blend

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
)

// What a study of nine species found of clear coats, in direction: L* falls, chroma rises, and
// dark woods change most. Common practice has the same.
func TestClearCoatDeepens(t *testing.T) {
	var drops []float64
	for _, wood := range []colour.Lab{ash, oak, sapele, walnut} {
		dry := colour.SpectrumOf(wood)
		wet := ClearCoat{Wetting: 0.5}.Over(&dry)
		seen := wet.Lab()
		require.Less(t, seen.L, wood.L)
		require.Greater(t, seen.LCh().C, wood.LCh().C)
		t.Logf("%v → %v", wood, seen)
		drops = append(drops, (wood.L-seen.L)/wood.L)
		none := ClearCoat{}.Over(&dry)
		require.InDelta(t, wood.L, none.Lab().L, 1e-6)
	}
	require.IsIncreasing(t, drops, "from pale to dark, the share of its lightness that a wood loses")
}

// An amber film makes a wood yellower and darker, a clear one does not.
func TestAmberYellows(t *testing.T) {
	dry := colour.SpectrumOf(ash)
	clear, amber := ClearCoat{Wetting: 0.5}.Over(&dry), ClearCoat{Wetting: 0.5, Amber: 0.1}.Over(&dry)
	require.Greater(t, amber.Lab().B, clear.Lab().B+2)
	require.Less(t, amber.Lab().L, clear.Lab().L)
}
