package plan

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
)

// Paints out of a tube, invented: three coats of them hide.
var (
	whiteTube = blendtest.Invented("white", "paint", func(float64) blend.Film { return blend.Film{K: 0.005, S: 4} })
	brownTube = blendtest.Invented("brown", "paint", func(nm float64) blend.Film {
		return blend.Film{K: blendtest.Sigmoid(2.4, 0.5, (nm-590)/30), S: 1}
	})
)

// spotted is an ash frame with a spot in it and a sapele panel, known exactly, and what is on the shelf.
func spotted(on blend.Surface, filler colour.Lab, shelf ...*blend.Coating) (*learn.Samples, Problem) {
	w := &learn.Samples{Best: learn.Sample{Colours: []spectra.Spectrum{
		spectra.Smoothest(blendtest.Ash), spectra.Smoothest(blendtest.Sapele), spectra.Smoothest(filler)}}}
	problem := Problem{Areas: []Area{
		{Name: "frame", Surface: on, Mean: 0, Light: None, Dark: None, Target: None},
		{Name: "panel", Surface: on, Mean: 1, Light: None, Dark: None, Target: None},
		{Name: "corner", PartOf: "frame", Surface: blend.NonAbsorbing, Mean: 2, Light: None, Dark: None, Target: None},
	}}
	for k, c := range shelf {
		w.Best.Coatings, w.Best.BoardToPiece = append(w.Best.Coatings, *c), append(w.Best.BoardToPiece, 1)
		if c.Kind == "paint" {
			problem.TouchUp = append(problem.TouchUp, k)
		}
	}
	return w, problem
}

func planSpotted(t *testing.T, w *learn.Samples, problem Problem) (*Choice, *TouchUp) {
	t.Helper()
	plan, err := Make(t.Context(), w, problem)
	require.NoError(t, err)
	all, _, err := TouchUps(t.Context(), w, problem, &plan.Choices[0], nil)
	require.NoError(t, err)
	require.Len(t, all, 1)
	return &plan.Choices[0], &all[0]
}

// A spot of whatever colour changes nothing of what is planned, and gets the coats of its wood; tubes are laid on no area.
func TestSpotFollowsItsWood(t *testing.T) {
	for _, filler := range []colour.Lab{{L: 70, A: 6, B: 20}, {L: 20}, {L: 95, A: 0, B: 2}} {
		w, problem := spotted(blend.Sealed, filler, blendtest.RedWash, brownTube)
		with, _ := planSpotted(t, w, problem)
		problem.Areas = problem.Areas[:2]
		alone, err := Make(t.Context(), w, problem)
		require.NoError(t, err)
		require.InDelta(t, alone.Choices[0].Value, with.Value, 1e-12)
		require.Equal(t, alone.Choices[0].Pairs, with.Pairs)
		require.Equal(t, with.Areas[0].Coats, with.Areas[2].Coats)
		require.NotEmpty(t, with.Areas[0].Coats)
		require.Equal(t, "frame", with.Areas[2].PartOf)
		for _, a := range with.Areas {
			require.False(t, slices.ContainsFunc(a.Coats, func(c CoatCount) bool { return c.Coating == "brown" }))
		}
	}
}

// A layer that is not on the spot does not come over it.
func TestLayerThatLeavesASpotOut(t *testing.T) {
	w, problem := spotted(blend.Sealed, colour.Lab{L: 70, A: 6, B: 20}, blendtest.RedWash, blendtest.MudGlaze)
	problem.Layers = []ScheduledLayer{{Coating: 0, Areas: []int{0, 1}, Coats: 2}, {Coating: 1, Coats: 1}}
	with, _ := planSpotted(t, w, problem)
	require.Equal(t, []CoatCount{{"red-brown wash", 2, [2]int{2, 2}}, {"mud glaze", 1, [2]int{1, 1}}}, with.Areas[0].Coats)
	require.Equal(t, []CoatCount{{"mud glaze", 1, [2]int{1, 1}}}, with.Areas[2].Coats)
}

// A wash cannot lighten a filler that is darker than its wood; a mix of tubes that hide can, and ends nearer than without it.
func TestOnlyPaintLightens(t *testing.T) {
	dark := colour.Lab{L: 45, A: 8, B: 20}
	w, problem := spotted(blend.Sealed, dark, blendtest.RedWash)
	problem.Layers = []ScheduledLayer{{Coating: 0, Coats: 1}}
	_, washed := planSpotted(t, w, problem)
	require.Empty(t, washed.Mix)
	require.True(t, washed.TooDark)
	require.Equal(t, washed.Untouched, washed.AtEnd)

	w, problem = spotted(blend.Sealed, dark, blendtest.RedWash, whiteTube, brownTube)
	problem.Layers = []ScheduledLayer{{Coating: 0, Coats: 1}}
	_, painted := planSpotted(t, w, problem)
	require.NotEmpty(t, painted.Mix)
	require.False(t, painted.TooDark)
	require.Less(t, painted.AtEnd.Median, washed.AtEnd.Median-worthATouch)
	drops := 0
	for _, m := range painted.Mix {
		require.Contains(t, []string{"white", "brown"}, m.Coating)
		drops += m.Parts
	}
	require.LessOrEqual(t, drops, mostDrops)
	require.InDelta(t, painted.AtEnd.Median, painted.Plan.After.Median, 1e-9)
}

// The aim, painted on, ends as its wood does. Bare wood takes more of the first coat than a spot does: there the aim lies beyond the
// wood of today, which ends far off, as on sealed wood it does not.
func TestTouchUpAimsAtTheEnd(t *testing.T) {
	thirsty := *blendtest.RedWash
	thirsty.Uptake, thirsty.Wetting = 1.5, 0.4
	for _, on := range []blend.Surface{blend.Sealed, blend.Bare} {
		w, problem := spotted(on, colour.Lab{L: 90, A: 2, B: 10}, &thirsty)
		problem.Layers = []ScheduledLayer{{Coating: 0, Coats: 2}}
		_, up := planSpotted(t, w, problem)
		aim := spectra.Smoothest(up.Aim)
		end := thirsty.Over(&aim, 2)
		require.Less(t, colour.DeltaE2000(up.WoodEnd, end.Lab()), 0.5, on) // the spectrum that is expected of a colour is another
		if on == blend.Sealed {
			require.Less(t, up.MatchedNow.Median, 0.5) // the touch-up's spectrum is another
		} else {
			require.Greater(t, up.MatchedNow.Median, 2.0)
			require.Less(t, up.Aim.L, blendtest.Ash.L)
		}
	}
}

// A lone wood with a spot is to meet nothing, and stays as it is: the spot is brought to it.
func TestSpotInALoneWood(t *testing.T) {
	w, problem := spotted(blend.ClearCoated, colour.Lab{L: 60, A: 8, B: 22}, whiteTube, brownTube)
	problem.Areas = slices.Delete(problem.Areas, 1, 2)
	with, up := planSpotted(t, w, problem)
	require.True(t, with.Untouched())
	require.Less(t, up.AtEnd.Median, up.Now.Median-worthATouch)

	problem.Areas[1].PartOf = "fraem"
	_, err := Make(t.Context(), w, problem)
	require.ErrorContains(t, err, "plan.part-of")
}

func BenchmarkTouchUps(b *testing.B) {
	w, problem := spotted(blend.Sealed, colour.Lab{L: 55, A: 8, B: 30}, blendtest.RedWash, whiteTube, brownTube)
	rng := rand.New(rand.NewPCG(11, 36))
	for range 10 {
		c := anyCoating(rng, fmt.Sprint("tube ", len(w.Best.Coatings)))
		c.Kind = "paint"
		problem.TouchUp = append(problem.TouchUp, len(w.Best.Coatings))
		w.Best.Coatings, w.Best.BoardToPiece = append(w.Best.Coatings, *c), append(w.Best.BoardToPiece, 1)
	}
	problem.Layers = []ScheduledLayer{{Coating: 0, Coats: 1}}
	plan, err := Make(b.Context(), w, problem)
	require.NoError(b, err)
	for b.Loop() {
		_, _, err := TouchUps(b.Context(), w, problem, &plan.Choices[0], nil)
		require.NoError(b, err)
	}
}
