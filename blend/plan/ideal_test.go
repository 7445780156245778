package plan

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
)

// knownPiece is sealed areas of known colours, for a target or, where it is the zero colour, to meet; the shelf is one coating.
func knownPiece(shelf *blend.Coating, target colour.Lab, woods ...colour.Lab) (*learn.Samples, Problem) {
	w, problem := &learn.Samples{}, Problem{}
	w.Best.Coatings, w.Best.BoardToPiece = []blend.Coating{*shelf}, []float64{1}
	for i, c := range woods {
		w.Best.Colours = append(w.Best.Colours, spectra.Smoothest(c))
		problem.Areas = append(problem.Areas, Area{Name: string(rune('a' + i)), Surface: blend.Sealed, Mean: i, Light: None, Dark: None,
			Target: None})
	}
	if target != (colour.Lab{}) {
		for i := range problem.Areas {
			problem.Areas[i].Target = len(woods)
		}
		w.Best.Colours = append(w.Best.Colours, spectra.Smoothest(target))
	}
	return w, problem
}

func idealFor(t *testing.T, shelf *blend.Coating, target colour.Lab, woods ...colour.Lab) (*IdealCoating, *Plan) {
	t.Helper()
	w, problem := knownPiece(shelf, target, woods...)
	plan, err := Make(t.Context(), w, problem)
	require.NoError(t, err)
	id, err := Ideal(t.Context(), w, problem, plan)
	require.NoError(t, err)
	return id, plan
}

// A red-brown target on pale and dark woods, of which the shelf has but a pale wash, asks for a red-brown coating: films that do it
// must bring every area nearer than the shelf does, and what does as well lies about it.
func TestIdealIsMissing(t *testing.T) {
	id, plan := idealFor(t, blendtest.PaleWash, colour.Lab{L: 35, A: 18, B: 20}, blendtest.Ash, blendtest.Oak, blendtest.Sapele)
	require.True(t, id.Helps)
	require.Equal(t, "a", id.On)
	require.Less(t, id.Leaves, plan.Choices[0].Worst.Median/3)
	require.Less(t, id.Leaves, 4.0)
	require.Len(t, id.Areas, 3)
	require.GreaterOrEqual(t, id.Areas[0].Coats, id.Areas[2].Coats, "a pale wood takes no fewer than a dark one")
	require.Less(t, id.OneCoat.L, blendtest.Ash.L)
	require.Greater(t, id.Width, 0.3)
	require.LessOrEqual(t, id.Coating.Films[0].S, mostHiding*1.0001)
}

// Where the shelf does it nothing is missing, and where nothing in thin coats can do it that is said.
func TestIdealIsNotMissing(t *testing.T) {
	id, _ := idealFor(t, blendtest.RedWash, blendtest.ColourOver(blendtest.RedWash, blendtest.Ash, 2), blendtest.Ash)
	require.Nil(t, id)
	id, plan := idealFor(t, blendtest.RedWash, colour.Lab{L: 96, B: 3}, blendtest.Walnut)
	require.Greater(t, plan.Choices[0].Worst.Median, 20.0)
	require.NotNil(t, id)
	require.Greater(t, id.Leaves, 4.0)
}

// The same piece asks for the same coating, in no more than the two seconds that it may take.
func TestIdealIsDeterministic(t *testing.T) {
	target, woods := colour.Lab{L: 35, A: 18, B: 20}, []colour.Lab{blendtest.Ash, blendtest.Oak, blendtest.Sapele, blendtest.Walnut}
	start := time.Now()
	first, _ := idealFor(t, blendtest.PaleWash, target, woods...)
	took := time.Since(start)
	again, _ := idealFor(t, blendtest.PaleWash, target, woods...)
	require.Equal(t, first.OneCoat, again.OneCoat)
	require.Equal(t, first.Width, again.Width)
	require.Less(t, took, 2*time.Second)
}

// A coat of paint as good as opaque hides, a dye does not.
func TestContrastRatio(t *testing.T) {
	var dye, paint blend.Coating
	for i := range paint.Films {
		dye.Films[i], paint.Films[i] = blend.Film{K: 0.5}, blend.Film{K: 1, S: 20}
	}
	require.InDelta(t, 0, ContrastRatio(&dye), 1e-9)
	require.InDelta(t, 1, ContrastRatio(&paint), 1e-4)
	require.InDelta(t, 0, ContrastRatio(&blend.Coating{}), 1e-9)
}

// Of colours that might be bought, that of the target's own coating comes first and a green one last; where no thin coat can help none
// does.
func TestRank(t *testing.T) {
	chip := func(name string, c *blend.Coating) Candidate {
		limit := c.Limit()
		return Candidate{Name: name, Chip: limit.Lab()}
	}
	list := []Candidate{{Name: "green", Chip: colour.Lab{L: 45, A: -35, B: 20}}, chip("red-brown", blendtest.RedWash),
		{Name: "white", Chip: colour.Lab{L: 95, B: 3}}}
	target := blendtest.ColourOver(blendtest.RedWash, blendtest.Ash, 2)
	w, problem := knownPiece(blendtest.PaleWash, target, blendtest.Ash, blendtest.Oak)
	plan, err := Make(t.Context(), w, problem)
	require.NoError(t, err)
	all, err := Rank(t.Context(), w, problem, plan, list)
	require.NoError(t, err)
	require.Equal(t, "red-brown", all.Ranked[0].Name)
	require.False(t, all.None)
	require.Less(t, all.Ranked[0].Leaves, 4.0)
	require.Equal(t, "a", all.On)

	w, problem = knownPiece(blendtest.PaleWash, colour.Lab{L: 60, A: 12, B: 25}, blendtest.Walnut)
	plan, err = Make(t.Context(), w, problem)
	require.NoError(t, err)
	all, err = Rank(t.Context(), w, problem, plan, list[:1])
	require.NoError(t, err)
	require.True(t, all.None)
}

// A lone wood with a spot is as it is to be: nothing that might be bought makes it better.
func TestRankForALoneWood(t *testing.T) {
	w, problem := spotted(blend.ClearCoated, colour.Lab{L: 60, A: 8, B: 22}, whiteTube, brownTube)
	problem.Areas = slices.Delete(problem.Areas, 1, 2)
	plan, err := Make(t.Context(), w, problem)
	require.NoError(t, err)
	all, err := Rank(t.Context(), w, problem, plan, []Candidate{{Name: "green", Chip: colour.Lab{L: 45, A: -35, B: 20}}})
	require.NoError(t, err)
	require.True(t, all.None)
	require.Equal(t, "frame", all.On)
}
