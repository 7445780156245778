package plan

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
)

// A coloured sample is read dry and lies a clear coat short of what will be seen: the depth and the strength that the clear coat brings
// are missing, and on the dark wood most.
func TestDryReadingUnderReadsTheDepth(t *testing.T) {
	clear := blend.ClearCoat{Wetting: 0.45, Amber: 0.03}
	falls := map[colour.Lab]float64{}
	for _, wood := range []colour.Lab{maple, blendtest.Walnut} {
		w := &learn.Samples{Best: learn.Sample{Coatings: []blend.Coating{*blendtest.RedWash}, BoardToPiece: []float64{1}, Clear: clear,
			Colours: []spectra.Spectrum{spectra.PriorSpectrum(wood)}}}
		a := Area{Name: "panel", Surface: blend.Sealed, Mean: 0, Light: None, Dark: None, Target: None}
		ls := layers{{0, 1}}
		dry := model{&Problem{}, &w.Best}.final(&a, ls).mean
		seen := model{&Problem{Finished: true}, &w.Best}.final(&a, ls).mean
		require.Less(t, seen.L, dry.L-2)
		require.Greater(t, seen.LCh().C, dry.LCh().C)
		falls[wood] = (dry.L - seen.L) / dry.L
	}
	require.Greater(t, falls[blendtest.Walnut], falls[maple])
}

// New wood beside old, to be evened with an amber finish alone: the film takes blue away and nothing else, so that the new wood stays
// paler and less red however many coats there are. A dye under it, for the base, gets there.
func TestAmberFilmIsNoAgedBase(t *testing.T) {
	aged := colour.Lab{L: maple.L - 14, A: maple.A + 8, B: maple.B + 10}
	nearest := func(base *spectra.Spectrum) (best colour.Lab) {
		off := math.Inf(1)
		for amber := 0.0; amber < 2; amber += 0.02 {
			seen := blend.ClearCoat{Amber: amber}.Over(base)
			if d := colour.DeltaE2000(aged, seen.Lab()); d < off {
				off, best = d, seen.Lab()
			}
		}
		return best
	}
	fresh := spectra.PriorSpectrum(maple)
	amber := nearest(&fresh)
	require.Greater(t, colour.DeltaE2000(aged, amber), 5.0)
	require.Greater(t, amber.L, aged.L+3)
	require.Less(t, amber.A, aged.A-3)
	dyed := math.Inf(1)
	for coats := 0.1; coats < 2; coats += 0.1 {
		base := purpleDye.Over(&fresh, coats)
		dyed = min(dyed, colour.DeltaE2000(aged, nearest(&base)))
	}
	t.Logf("off an aged base: an amber film alone %.1f, over a dye %.1f", colour.DeltaE2000(aged, amber), dyed)
	require.Less(t, dyed, colour.DeltaE2000(aged, amber)/2)
}

// A dye in lacquer bleeds into a lacquer clear, sprayed or not; a toner in the same lacquer bites in as is wanted. Dewaxed shellac between
// them parts them.
func TestLacquerDyeUnderLacquerClear(t *testing.T) {
	of := func(name string, kind blend.Kind, f blend.Family) *blend.Coating {
		return &blend.Coating{Name: name, Kind: kind, Family: f, PutOn: blend.Sprayed}
	}
	clear := of("clear", "paint", blend.Lacquer)
	ok, why := blend.MayLie(of("dye", "dye", blend.Lacquer), clear)
	require.False(t, ok)
	require.EqualValues(t, "layer.dissolves", why.Code)
	barrier, why := blend.Barrier(of("dye", "dye", blend.Lacquer), clear)
	require.Same(t, blend.Shellac, barrier)
	require.EqualValues(t, "layer.dissolves", why.Code)
	ok, _ = blend.MayLie(of("toner", "toner", blend.Lacquer), clear)
	require.True(t, ok)
	barrier, _ = blend.Barrier(of("dye", "dye", blend.WaterBorne), clear)
	require.Nil(t, barrier)
}
