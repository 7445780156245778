package plan

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/colour"
	"huewright/colour/spectra"
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

// Where the coating is known and the colours are not, the piece is to be photographed again.
func TestNextTestIsAPhoto(t *testing.T) {
	target := blendtest.ColourOver(blendtest.RedWash, blendtest.Ash, 4)
	problem, colours := pieceOf([]wood{{name: "frame", surface: blend.Sealed, mean: blendtest.Ash}}, target)
	w := scattered(96, 0.01, []*blend.Coating{blendtest.RedWash}, colours)
	rng := rand.New(rand.NewPCG(5, 6))
	for i := range w.Drawn {
		for k, c := range colours {
			off := func() float64 { return 4 * rng.NormFloat64() }
			w.Drawn[i].Colours[k] = spectra.Smoothest(colour.Lab{L: c.L + off(), A: c.A + off(), B: c.B + off()})
		}
	}
	plan, err := Make(t.Context(), w, problem)
	require.NoError(t, err)
	advice, err := NextTests(t.Context(), plan)
	require.NoError(t, err)
	require.NotEmpty(t, advice)
	require.Equal(t, TestPhoto, advice[0].Way)
	require.Empty(t, advice[0].Coating)
	require.Less(t, advice[0].Then, advice[0].Now)
}

// An outcome that has nothing to do with the end gains nothing; one that tells which plan is best gains what there is to gain.
func TestValueOfInformation(t *testing.T) {
	rng := rand.New(rand.NewPCG(34, 55))
	const n = 64
	g := groupEnds{share: 1, value: make([][]float64, 3), worst: make([][]float64, 3)}
	var telling, idle [][]float64
	most := 0.0
	for range n {
		x := rng.NormFloat64() // the plans are best where x is low, in the middle and high
		values := []float64{math.Abs(x + 1.5), math.Abs(x), math.Abs(x - 1.5)}
		for a, v := range values {
			g.value[a], g.worst[a] = append(g.value[a], v), append(g.worst[a], 2*v)
		}
		telling, idle = append(telling, []float64{20 * x}), append(idle, []float64{rng.NormFloat64(), rng.NormFloat64()})
		most += (values[1] - slices.Min(values)) / n
	}
	g.best = 1
	v := &ends{groups: []groupEnds{g}, now: mean(g.worst[1])}
	gain, worst := v.after(idle)
	require.InDelta(t, 0, gain, 0.05)
	require.InDelta(t, v.now, worst, 0.1)
	gain, worst = v.after(telling)
	require.LessOrEqual(t, gain, most)
	require.Greater(t, gain, 0.85*most)
	require.InDelta(t, v.now-2*gain, worst, 1e-9)
}
