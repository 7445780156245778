package plan

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/colour"
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
	advice, err := NextTests(t.Context(), vague, problem, plan)
	require.NoError(t, err)
	require.NotEmpty(t, advice)
	for _, a := range advice {
		t.Logf("%d of %s on %s: %.2f → %.2f; a strip %.2f, two boards %.2f", a.Coats, a.Coating, a.On, a.Now, a.Then, a.Strip, a.Boards)
		require.Less(t, a.Boards, a.Then)
		require.Less(t, a.Strip, a.Then)
		require.Equal(t, blendtest.RedWash.Name, a.Coating)
		require.Less(t, a.Then, a.Now-worthATest+1e-9)
	}

	sure := scattered(96, 0.01, []*blend.Coating{blendtest.RedWash}, colours)
	for i := range sure.Drawn {
		sure.Drawn[i].Seed = 0 // an even hand
		sure.Drawn[i].BoardToPiece[0] = 1
	}
	plan, err = Make(t.Context(), sure, problem)
	require.NoError(t, err)
	tests, err := NextTests(t.Context(), sure, problem, plan)
	require.NoError(t, err)
	require.Empty(t, tests, "enough is known")
}

// The likelihoods of a strip, a card and two boards are those of the normal distribution whose covariance is written out.
func TestLikelihoodsOfHands(t *testing.T) {
	rng := rand.New(rand.NewPCG(19, 48))
	const n = 2 * 3 // readings of a strip on a card
	draw := func() (labs []colour.Lab) {
		for range n {
			labs = append(labs, colour.Lab{L: rng.NormFloat64(), A: rng.NormFloat64(), B: rng.NormFloat64()})
		}
		return labs
	}
	shown := [][]colour.Lab{draw(), draw(), draw(), draw(), draw(), draw(), draw(), draw(), draw(), draw()}
	_, hands := (&testCoat{n: 3, strip: true}).steps()
	var slopes []handSlopes
	cov := mat.NewSymDense(3*n, nil)
	for k := range n {
		slopes = append(slopes, slopesOf([3]float64{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}, hands[k/2]))
	}
	noise := testNoise
	weights := likelihoods(shown, slopes, 0)
	density := func(at int) float64 {
		for i := range 3 * n {
			for j := range 3 * n {
				sum := 0.0
				for h := range mostHands {
					sum += slopes[i/3][i%3][h] * slopes[j/3][j%3][h]
				}
				if i == j {
					sum += noise * noise
				}
				cov.SetSym(i, j, sum)
			}
		}
		d := mat.NewVecDense(3*n, nil)
		for k := range n {
			for c, v := range labDifference(shown[at][k], shown[0][k]) {
				d.SetVec(3*k+c, v)
			}
		}
		var factor mat.Cholesky
		require.True(t, factor.Factorize(cov))
		var solved mat.VecDense
		require.NoError(t, factor.SolveVecTo(&solved, d))
		return math.Exp(-mat.Dot(d, &solved) / 2)
	}
	for math.Abs(density(1)-weights[1]) > 1e-9 && noise < 1e3 {
		noise *= noiseStep // as it is widened where few samples would count
	}
	for i := range shown {
		require.InDelta(t, density(i), weights[i], 1e-9)
	}
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
	advice, err := NextTests(t.Context(), w, problem, plan)
	require.NoError(t, err)
	require.NotEmpty(t, advice)
	require.Equal(t, blendtest.RedWash.Name, advice[0].Coating)
}
