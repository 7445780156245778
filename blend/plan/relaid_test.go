package plan

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
)

// A coat was read with a colour meter, which tells nothing of the grain: the rule of the grain holds for the coats to come all the
// same, and the plan goes on as it was begun.
func TestReplanningFromAFigureKeepsTheGrainRule(t *testing.T) {
	c := *blendtest.PaleWash.Strength(0.25)
	light, dark := colour.Lab{L: 66, A: 12, B: 24}, colour.Lab{L: 44, A: 14, B: 22}
	mean, target := blendtest.Sapele, colour.Lab{L: 86, A: 1, B: 6}
	w := &learn.Samples{Best: learn.Sample{Coatings: []blend.Coating{c}, BoardToPiece: []float64{1}}}
	for _, lab := range []colour.Lab{mean, light, dark, target} {
		w.Best.Colours = append(w.Best.Colours, spectra.PriorSpectrum(lab))
	}
	options := Options{PreferGrain: true, Price: littlePrice}
	fresh := Area{Name: "panel", Surface: blend.Sealed, Mean: 0, Light: 1, Dark: 2, Target: 3}
	plan, err := Make(t.Context(), w, Problem{Areas: []Area{fresh}, Options: options})
	require.NoError(t, err)
	whole := len(plan.Choices[0].Areas[0].Path) - 1
	require.Greater(t, whole, 1)
	require.Less(t, whole, 12)

	w.Best.Colours = append(w.Best.Colours, c.Over(&w.Best.Colours[0], 1))
	laid := Area{Name: "panel", Surface: blend.Sealed, Mean: 4, Light: None, Dark: None, Target: 3, Laid: []Layer{{0, 1}}, BareLight: 1,
		BareDark: 2}
	again, err := Make(t.Context(), w, Problem{Areas: []Area{laid}, Options: options})
	require.NoError(t, err)
	require.Equal(t, whole-1, len(again.Choices[0].Areas[0].Path)-1)
	require.InDelta(t, plan.Choices[0].Areas[0].Grain, again.Choices[0].Areas[0].Grain, 1e-9)

	laid.Laid[0].Coats = 12
	w.Best.Colours[4] = c.Over(&w.Best.Colours[0], 12)
	hidden, err := Make(t.Context(), w, Problem{Areas: []Area{laid}, Options: options})
	require.NoError(t, err)
	require.Len(t, hidden.Choices[0].Areas[0].Path, 1, "what is hidden already is not hidden further")
	laid.Laid[0].Coats = 1
	w.Best.Colours[4] = c.Over(&w.Best.Colours[0], 1)

	laid.BareLight, laid.BareDark = None, None
	blind, err := Make(t.Context(), w, Problem{Areas: []Area{laid}, Options: options})
	require.NoError(t, err)
	require.Greater(t, len(blind.Choices[0].Areas[0].Path), len(again.Choices[0].Areas[0].Path),
		"without any grain the rule has nothing to hold")
}

// Coats that lie there count towards the most that an area may have, on every way to plan.
func TestReplanningKeepsTheMostCoats(t *testing.T) {
	c := *blendtest.RedWash
	w := &learn.Samples{Best: learn.Sample{Coatings: []blend.Coating{c}, BoardToPiece: []float64{1}}}
	ash := spectra.PriorSpectrum(blendtest.Ash)
	for _, n := range []float64{0, 2, 5} {
		w.Best.Colours = append(w.Best.Colours, c.Over(&ash, n))
	}
	further := func(most, laid int, planned []ScheduledLayer) int {
		a := Area{Name: "frame", Surface: blend.Sealed, Mean: 0, Light: None, Dark: None, Target: 2, BareLight: None, BareDark: None}
		if laid > 0 {
			a.Mean, a.Laid = 1, []Layer{{0, laid}}
		}
		p, err := Make(t.Context(), w, Problem{Areas: []Area{a}, Layers: planned, Options: Options{MaxCoats: most, Price: littlePrice}})
		require.NoError(t, err)
		require.LessOrEqual(t, p.Single[0][0].Count, max(0, most-laid))
		return len(p.Choices[0].Areas[0].Path) - 1
	}
	one := []ScheduledLayer{{Coating: 0, Coats: Planned}}
	for _, layers := range [][]ScheduledLayer{nil, one} {
		require.Equal(t, 5, further(12, 0, layers))
		require.Equal(t, 3, further(12, 2, layers))
		require.Equal(t, 4, further(4, 0, layers))
		require.Equal(t, 2, further(4, 2, layers))
		require.Equal(t, 0, further(2, 2, layers))
		require.Equal(t, 0, further(1, 2, layers), "more lie there than there should")
	}
	given := []ScheduledLayer{{Coating: 0, Coats: 1}}
	require.Equal(t, 1, further(2, 2, given), "what is said is done")
}
