package blend_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/colour"
	"huewright/colour/spectra"
)

// What a study of nine species found of clear coats, in direction: L* falls, a* and chroma rise, and dark woods change
// most. Common practice has the same. Typical from memory: L* −5 to −12, C* +3 to +10 with the film's own amber.
func TestClearCoatDeepens(t *testing.T) {
	var drops []float64
	for _, wood := range []colour.Lab{{L: 82, A: 4, B: 19}, blendtest.Ash, blendtest.Oak, {L: 62, A: 11, B: 22}, blendtest.Sapele,
		blendtest.Walnut} {
		dry := spectra.PriorSpectrum(wood)
		wet := blend.ClearCoat{Wetting: 0.45, Amber: 0.03}.Over(&dry)
		seen := wet.Lab()
		t.Logf("%v → %v, C* %+.1f", wood, seen, seen.LCh().C-wood.LCh().C)
		require.Greater(t, seen.A, wood.A)
		require.True(t, wood.L-seen.L >= 5 && wood.L-seen.L <= 12, "%v → %v", wood, seen)
		rise := seen.LCh().C - wood.LCh().C
		require.True(t, rise > 1 && rise < 10, "C* %+.1f of %v", rise, wood)
		drops = append(drops, (wood.L-seen.L)/wood.L)
		none := blend.ClearCoat{}.Over(&dry)
		require.InDelta(t, wood.L, none.Lab().L, 1e-6)
	}
	require.IsIncreasing(t, drops, "from pale to dark, the share of its lightness that a wood loses")
}

// Dark woods stay woods: what is above L* 5 stays there under any finish that is at all likely, and down to black nothing jumps.
func TestClearCoatIsSmoothToBlack(t *testing.T) {
	for _, dark := range []colour.Lab{{L: 30, A: 12, B: 12}, {L: 20, A: 5, B: 5}, {L: 16, A: 4, B: 4}} {
		dry := spectra.PriorSpectrum(dark)
		for _, wetting := range []float64{0.17, 0.5, 0.83} { // 0.17 to 0.83 are 95 % of the prior
			wet := blend.ClearCoat{Wetting: wetting, Amber: 0.03}.Over(&dry)
			require.Greater(t, wet.Lab().L, 5.0, "%v, %v", dark, wetting)
			require.Less(t, math.Abs(wet.Lab().LCh().C-dark.LCh().C), 4.0, "%v, %v", dark, wetting)
		}
	}
	for _, wetting := range []float64{0, 0.5, 1} {
		was := 0.0
		for r := 0.0; r <= 1; r += 0.001 {
			wet := blend.ClearCoat{Wetting: wetting}.Over(&spectra.Spectrum{r})
			require.False(t, wet[0] < was || wet[0] > r+1e-12, "%v at %v", wetting, r)
			if r >= 0.001 {
				require.Greater(t, wet[0], r/8, "a dark band does not fall to nothing")
			}
			was = wet[0]
		}
	}
}

// A clear coat wets bare wood most, sealed wood and filler less, and what is clear-coated not again.
func TestClearCoatActsBySurface(t *testing.T) {
	dry := spectra.PriorSpectrum(blendtest.Walnut)
	lightness := func(on blend.Surface) float64 {
		seen := blend.ClearCoat{Wetting: 0.5}.On(on).Over(&dry)
		return seen.Lab().L
	}
	require.InDelta(t, blendtest.Walnut.L, lightness(blend.ClearCoated), 1e-6)
	require.Less(t, lightness(blend.Sealed), blendtest.Walnut.L-2)
	require.Less(t, lightness(blend.Bare), lightness(blend.Sealed)-1)
	require.Equal(t, lightness(blend.Sealed), lightness(blend.NonAbsorbing))
	require.Equal(t, lightness(blend.Bare), lightness(""))
	require.Equal(t, 0.1, blend.ClearCoat{Amber: 0.1}.On(blend.ClearCoated).Amber, "an amber film stays amber")
}

// An amber film makes a wood yellower and darker, a clear one does not.
func TestAmberYellows(t *testing.T) {
	dry := spectra.Smoothest(blendtest.Ash)
	clear, amber := blend.ClearCoat{Wetting: 0.5}.Over(&dry), blend.ClearCoat{Wetting: 0.5, Amber: 0.1}.Over(&dry)
	require.Greater(t, amber.Lab().B, clear.Lab().B+2)
	require.Less(t, amber.Lab().L, clear.Lab().L)
}

// Practice: a new maple cannot be brought to the colour of an aged base by an amber finish alone, which yellows and hardly reddens.
func TestAmberAloneIsNoAgedBase(t *testing.T) {
	fresh, aged := spectra.PriorSpectrum(colour.Lab{L: 82, A: 4, B: 19}), colour.Lab{L: 66, A: 13, B: 32} // from memory, ±5
	nearest := math.Inf(1)
	for wetting := 0.1; wetting <= 1; wetting += 0.1 {
		for amber := 0.0; amber <= 1; amber += 0.02 {
			seen := blend.ClearCoat{Wetting: wetting, Amber: amber}.Over(&fresh)
			nearest = min(nearest, colour.DeltaE2000(aged, seen.Lab()))
		}
	}
	require.Greater(t, nearest, 2.0, "seen side by side, whatever the film")
}

// What a clear coat does is undone, for light woods and dark, thin coats and thick.
func TestClearCoatUndone(t *testing.T) {
	for _, c := range []blend.ClearCoat{{}, {Wetting: 0.45}, {Wetting: 1}, {Wetting: 0.7, Amber: 0.1}, {Amber: 0.3}} {
		for _, wood := range []colour.Lab{blendtest.Ash, blendtest.Walnut, {L: 8, A: 2, B: 2}} {
			dry := spectra.PriorSpectrum(wood)
			seen := c.Over(&dry)
			back := c.Under(&seen)
			for i := range dry {
				require.InDelta(t, dry[i], back[i], 1e-9, "%v of %v", c, wood)
			}
		}
	}
	var bright spectra.Spectrum
	for i := range bright {
		bright[i] = 1.2
	}
	for _, r := range (blend.ClearCoat{Wetting: 0.5, Amber: 0.1}).Under(&bright) {
		require.LessOrEqual(t, r, 1.0)
	}
}
