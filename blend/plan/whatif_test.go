package plan

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/internal/fault"
)

// What is said of counts is what is said of a plan that has them, its ranges apart; and no counts that are tried are clearly better than
// the plan's.
func TestWhatIfSaysWhatThePlanSays(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 12))
	for piece := range uint64(20) {
		problem, w := anyPiece(rng, piece)
		planned, err := Make(t.Context(), w, *problem)
		require.NoError(t, err)
		for _, c := range planned.Choices {
			on := make([][]Layer, len(c.Areas))
			for i, a := range c.Areas {
				for _, k := range a.Coats {
					at := slices.IndexFunc(w.Best.Coatings, func(b blend.Coating) bool { return b.Name == k.Coating })
					on[i] = append(on[i], Layer{at, k.Count})
				}
			}
			told, err := WhatIf(t.Context(), w, *problem, planned, on)
			require.NoError(t, err)
			require.Equal(t, c.Pairs, told.Pairs)
			require.Equal(t, c.Worst, told.Worst)
			require.Equal(t, c.Of, told.Of)
			require.Equal(t, c.Coats, told.Coats)
			require.InDelta(t, c.Value, told.Value, 1e-9)
			for i := range c.Areas {
				require.Equal(t, c.Areas[i].After, told.Areas[i].After)
				require.Equal(t, c.Areas[i].Path, told.Areas[i].Path)
				require.Equal(t, c.Areas[i].StopAfter, told.Areas[i].StopAfter)
				require.Equal(t, c.Areas[i].Reachable, told.Areas[i].Reachable)
				for _, k := range told.Areas[i].Coats {
					require.Equal(t, [2]int{k.Count, k.Count}, k.Range, "a count that is given has no range")
				}
			}
		}
		for range 5 {
			on := make([][]Layer, len(problem.Areas))
			for i := range on {
				on[i] = []Layer{{0, rng.IntN(4)}}
			}
			told, err := WhatIf(t.Context(), w, *problem, planned, on)
			require.NoError(t, err)
			require.GreaterOrEqual(t, told.Value, planned.Choices[0].Value-asGood)
		}
	}
}

// Areas that are alike may be given other counts, and a layer whose number the piece gives may be given another.
func TestWhatIfTakesAnyCounts(t *testing.T) {
	problem, colours := pieceOf([]wood{paleFrame, {name: "rail", surface: paleFrame.surface, mean: paleFrame.mean}, redPanel})
	problem.Layers = []ScheduledLayer{{Coating: 0, Coats: Planned}, {Coating: 0, Areas: []int{0, 1}, Coats: 2}}
	w := scattered(8, 0.1, []*blend.Coating{blendtest.RedWash}, colours)
	planned, err := Make(t.Context(), w, problem)
	require.NoError(t, err)
	told, err := WhatIf(t.Context(), w, problem, planned, [][]Layer{{{0, 1}, {0, 1}}, {{0, 0}, {0, 0}}, {{0, 3}, {0, 0}}})
	require.NoError(t, err)
	require.Equal(t, 5, told.Coats)
	require.Len(t, told.Areas[0].Path, 3)
	require.Len(t, told.Areas[1].Path, 1)
	require.Len(t, told.Areas[2].Path, 4)
	apart := told.Pairs[0]
	require.Less(t, apart.Before.Median, 1.5, "two of one wood")
	require.Greater(t, apart.After.Median, 2*apart.Before.Median, "of which one was coated")
}

// A spot gets the coats of its wood, of a layer whose number the piece gives too, and what is given to it alone.
func TestWhatIfCoatsSpotsWithTheirWood(t *testing.T) {
	problem, colours := pieceOf([]wood{paleFrame, redPanel, {name: "corner", surface: paleFrame.surface, mean: redPanel.mean}})
	problem.Areas[2].PartOf, problem.Areas[2].Target = "frame", None
	problem.Layers = []ScheduledLayer{{Coating: 0, Coats: Planned}, {Coating: 0, Coats: 1}, {Coating: 0, Areas: []int{2}, Coats: 1}}
	w := scattered(8, 0.1, []*blend.Coating{blendtest.RedWash}, colours)
	planned, err := Make(t.Context(), w, problem)
	require.NoError(t, err)
	none := []Layer{{0, 0}, {0, 0}, {0, 0}}
	told, err := WhatIf(t.Context(), w, problem, planned, [][]Layer{{{0, 0}, {0, 3}, {0, 0}}, none, none})
	require.NoError(t, err)
	require.Len(t, told.Areas[0].Path, 1+3)
	require.Len(t, told.Areas[2].Path, 1+3+1)
}

func TestWhatIfRefuses(t *testing.T) {
	problem, colours := pieceOf([]wood{paleFrame, redPanel})
	problem.Options.MaxCoats = 4
	glaze, dye := *blendtest.RedWash, *blendtest.RedWash
	glaze.Name, glaze.Kind, dye.Name, dye.Kind = "glaze", "glaze", "dye", "dye"
	w := scattered(8, 0.1, []*blend.Coating{&glaze, &dye}, colours)
	planned, err := Make(t.Context(), w, problem)
	require.NoError(t, err)
	for code, on := range map[fault.Code][]Layer{
		"plan.what-if-many":  {{0, 5}},
		"plan.what-if-order": {{0, 1}, {1, 1}},
	} {
		_, err := WhatIf(t.Context(), w, problem, planned, [][]Layer{nil, on})
		require.True(t, fault.Is(err, code), "%v: %v", code, err)
	}
}
