package plan

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/colour"
)

// Two paints mixed and thinned made the target: a mix of them finds it again, nearer than either
// paint by itself.
func TestMixFindsWhatMadeTheTarget(t *testing.T) {
	yellow := blendtest.Invented("yellow", "paint", func(nm float64) blend.Film {
		return blend.Film{K: blendtest.Sigmoid(4, 0.05,
			(nm-510)/15), S: 0.5}
	})
	umber := blendtest.Invented("umber", "paint", func(nm float64) blend.Film { return blend.Film{K: 3.2 - 2.2*(nm-380)/350, S: 0.3} })
	// 3 parts paint, 12 water
	made := blend.Mix("made", "paint", blend.Part{Coating: yellow, Parts: 2}, blend.Part{Coating: umber, Parts: 1}).Strength(1.0 / 5)
	target := blendtest.ColourOver(made, blendtest.Ash, 3)
	problem, colours := pieceOf([]wood{{name: "frame", surface: blend.Sealed, mean: blendtest.Ash}}, target)
	problem.Options.Price = cheap
	w := scattered(16, 0.05, []*blend.Coating{yellow, umber}, colours)
	answer, err := Mixes(t.Context(), w, problem, []float64{1, 1})
	require.NoError(t, err)
	one := answer.OneMix
	require.Len(t, one.Parts, 2)
	require.True(t, answer.MixedMore)
	require.Less(t, colour.DeltaE2000(target, one.Areas[0].Lab), 1.0)
	require.Greater(t, one.DeltaE.High, one.DeltaE.Median, "a mix is a first guess, and said to be")
	ratio := float64(one.Parts[0].Parts) / float64(one.Parts[1].Parts)
	require.InDelta(t, 2, ratio, 0.7)
	for _, single := range []*blend.Coating{yellow, umber} {
		alone, err := Mixes(t.Context(), scattered(4, 0.05, []*blend.Coating{single}, colours), problem, []float64{1})
		require.NoError(t, err)
		require.Greater(t, alone.OneMix.DeltaE.Median, one.DeltaE.Median, single.Name)
	}
}

// One target, two boards of one wood: the paler one gets more paint, whichever way it is mixed.
// Common practice, no source: mismatched boards, full strength on the pale ones, thinned on the
// rest.
func TestMixForMismatchedBoards(t *testing.T) {
	target := colour.Lab{L: 52, A: 11, B: 24}
	pale := wood{name: "pale board", surface: blend.Sealed, mean: colour.Lab{L: 80, A: 4, B: 20}}
	dark := wood{name: "dark board", surface: blend.Sealed, mean: colour.Lab{L: 68, A: 8, B: 24}}
	brown := blendtest.Invented("brown", "stain", func(nm float64) blend.Film {
		return blend.Film{K: blendtest.Sigmoid(1.2, 0.35,
			(nm-570)/40), S: 0.05}
	})
	problem, colours := pieceOf([]wood{pale, dark}, target, target)
	answer, err := Mixes(t.Context(), scattered(16, 0.05, []*blend.Coating{brown}, colours), problem, []float64{1})
	require.NoError(t, err)
	one, count := answer.OneMix, answer.OneCount
	require.Greater(t, one.Areas[0].Coats, one.Areas[1].Coats)
	require.Equal(t, one.Areas[0].Water, one.Areas[1].Water)
	require.Equal(t, count.Areas[0].Coats, count.Areas[1].Coats)
	require.Less(t, count.Areas[0].Water, count.Areas[1].Water)
	require.False(t, answer.MixedMore)
}

// Clear dyes keep the grain that hiding washes bury: where both come as near, the mix that keeps it
// is taken, and no mix keeps less than was asked.
func TestMixKeepsGrain(t *testing.T) {
	frame := wood{"frame", blend.Sealed, colour.Lab{L: 78, A: 4, B: 21}, colour.Lab{L: 70, A: 7, B: 25}}
	dye := blendtest.Invented("dye", "dye", func(nm float64) blend.Film { return blend.Film{K: blendtest.Sigmoid(0.5, 0.1, (nm-560)/35)} })
	hiding := blendtest.Invented("hiding", "dye", func(nm float64) blend.Film {
		return blend.Film{K: blendtest.Sigmoid(0.6, 0.15,
			(nm-560)/35), S: 0.35}
	})
	after := blendtest.ColourOver(dye, frame.mean, 2)
	problem, colours := pieceOf([]wood{frame}, after)
	answer, err := Mixes(t.Context(), scattered(16, 0.05, []*blend.Coating{hiding, dye}, colours), problem, []float64{0.2, 0.2})
	require.NoError(t, err)
	require.Equal(t, "dye", answer.OneMix.Parts[0].Coating)
	require.Greater(t, answer.OneMix.Grain, 0.5)
}

func TestMixOfFamilies(t *testing.T) {
	a, b := *blendtest.RedWash, *blendtest.MudGlaze
	a.Family, b.Family = blend.WaterBorne, blend.OilBorne
	problem, colours := pieceOf([]wood{{name: "frame", surface: blend.Sealed, mean: blendtest.Ash}}, blendtest.Oak)
	answer, err := Mixes(t.Context(), scattered(4, 0.05, []*blend.Coating{&a, &b}, colours), problem, nil)
	require.NoError(t, err)
	require.Len(t, answer.OneMix.Parts, 1, "oil and water are not stirred together")
}

func BenchmarkMix(b *testing.B) {
	problem, colours := pieceOf([]wood{paleFrame, redPanel, {"rail", blend.Sealed, blendtest.Oak, colour.Lab{L: 60, A: 9, B: 24}},
		{"foot", blend.NonAbsorbing, blendtest.Walnut, colour.Lab{L: 42, A: 7, B: 14}}})
	w := scattered(64, 0.1, []*blend.Coating{blendtest.RedWash, blendtest.MudGlaze, blendtest.PaleWash}, colours)
	for b.Loop() {
		if _, err := Mixes(b.Context(), w, problem, []float64{0.2, 0.2, 0.2}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkMeet(b *testing.B) {
	problem, colours := pieceOf([]wood{paleFrame, redPanel, {"rail", blend.Sealed, blendtest.Oak, colour.Lab{L: 60, A: 9, B: 24}},
		{"foot", blend.NonAbsorbing, blendtest.Walnut, colour.Lab{L: 42, A: 7, B: 14}}})
	w := scattered(64, 0.1, []*blend.Coating{blendtest.RedWash, blendtest.MudGlaze, blendtest.PaleWash}, colours)
	for b.Loop() {
		if _, err := Make(b.Context(), w, problem); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkTargets(b *testing.B) {
	to := colour.Lab{L: 42, A: 14, B: 20}
	problem, colours := pieceOf([]wood{paleFrame, redPanel, {"rail", blend.Sealed, blendtest.Oak, colour.Lab{L: 60, A: 9, B: 24}},
		{"foot", blend.NonAbsorbing, blendtest.Walnut, colour.Lab{L: 42, A: 7, B: 14}}}, to, to, to, to)
	w := scattered(64, 0.1, []*blend.Coating{blendtest.RedWash, blendtest.MudGlaze, blendtest.PaleWash}, colours)
	for b.Loop() {
		if _, err := Make(b.Context(), w, problem); err != nil {
			b.Fatal(err)
		}
	}
}
