package blend

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// What is badly known is worth a test, and the coating that is well known is not; where all is
// known well enough, nothing is.
func TestNextTests(t *testing.T) {
	target := colourOver(redWash, ash, 4)
	ask, colours := pieceOf([]wood{{name: "frame", surface: Sealed, mean: ash}}, target)
	ask.Options.fill()
	vague := scattered(96, 0.4, []*Coating{redWash}, colours)
	plan, err := PlanPiece(t.Context(), vague, ask)
	require.NoError(t, err)
	advice := NextTests(t.Context(), vague, ask, plan)
	require.NotEmpty(t, advice)
	for _, a := range advice {
		t.Logf("%d of %s on %s: %.2f → %.2f", a.Coats, a.Coating, a.On, a.Now, a.Then)
		require.Equal(t, redWash.Name, a.Coating)
		require.Less(t, a.Then, a.Now-worthATest+1e-9)
	}

	sure := scattered(96, 0.01, []*Coating{redWash}, colours)
	for i := range sure.Drawn {
		sure.Drawn[i].Seed = 0 // an even hand
		sure.Drawn[i].Board[0] = 1
	}
	plan, err = PlanPiece(t.Context(), sure, ask)
	require.NoError(t, err)
	require.Empty(t, NextTests(t.Context(), sure, ask, plan), "enough is known")
}

// Of two coatings, the test is of the one that the plan lays.
func TestNextTestIsOfWhatIsLaid(t *testing.T) {
	target := colourOver(redWash, ash, 4)
	ask, colours := pieceOf([]wood{{name: "frame", surface: Sealed, mean: ash}}, target)
	ask.Options.fill()
	w := scattered(96, 0.4, []*Coating{paleWash, redWash}, colours)
	plan, err := PlanPiece(t.Context(), w, ask)
	require.NoError(t, err)
	require.Equal(t, redWash.Name, plan.Areas[0].Coats[0].Coating)
	advice := NextTests(t.Context(), w, ask, plan)
	require.NotEmpty(t, advice)
	require.Equal(t, redWash.Name, advice[0].Coating)
}

func TestSmoothQuantile(t *testing.T) {
	require.InDelta(t, 2, smoothQuantile([]float64{0, 0, 1}, 0.5), 1e-12)
	require.InDelta(t, 2.4, smoothQuantile([]float64{0, 0, 1}, 0.9), 1e-12)
	require.InDelta(t, 0.5, smoothQuantile([]float64{1, 1}, 1), 1e-12)
}
