package plan

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
)

// What is badly known is worth a test, and the coating that is well known is not; where all is
// known well enough, nothing is.
func TestNextTests(t *testing.T) {
	target := blendtest.ColourOver(blendtest.RedWash, blendtest.Ash, 4)
	problem, colours := pieceOf([]wood{{name: "frame", surface: blend.Sealed, mean: blendtest.Ash}}, target)
	problem.Options.fill()
	vague := scattered(96, 0.4, []*blend.Coating{blendtest.RedWash}, colours)
	plan, err := Make(t.Context(), vague, problem)
	require.NoError(t, err)
	advice, err := NextTests(t.Context(), plan)
	require.NoError(t, err)
	require.NotEmpty(t, advice)
	for _, a := range advice {
		t.Logf("%s: %d of %s on %s: %.2f → %.2f, gains %.2f", a.Way, a.Coats, a.Coating, a.On, a.Now, a.Then, a.Gain)
		require.Equal(t, blendtest.RedWash.Name, a.Coating)
		require.Less(t, a.Then, a.Now)
	}

	sure := scattered(96, 0.01, []*blend.Coating{blendtest.RedWash}, colours)
	for i := range sure.Drawn {
		sure.Drawn[i].Seed = 0 // an even hand
		sure.Drawn[i].BoardToPiece[0] = 1
	}
	plan, err = Make(t.Context(), sure, problem)
	require.NoError(t, err)
	tests, err := NextTests(t.Context(), plan)
	require.NoError(t, err)
	require.Empty(t, tests, "enough is known")
}

// Of two coatings, the test is of the one that the plan lays.
func TestNextTestIsOfWhatIsLaid(t *testing.T) {
	target := blendtest.ColourOver(blendtest.RedWash, blendtest.Ash, 4)
	problem, colours := pieceOf([]wood{{name: "frame", surface: blend.Sealed, mean: blendtest.Ash}}, target)
	problem.Options.fill()
	w := scattered(96, 0.4, []*blend.Coating{blendtest.PaleWash, blendtest.RedWash}, colours)
	plan, err := Make(t.Context(), w, problem)
	require.NoError(t, err)
	require.Equal(t, blendtest.RedWash.Name, plan.Choices[0].Areas[0].Coats[0].Coating)
	advice, err := NextTests(t.Context(), plan)
	require.NoError(t, err)
	require.NotEmpty(t, advice)
	require.Equal(t, blendtest.RedWash.Name, advice[0].Coating)
}
