package learn

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
)

// The films of a strip and of two boards, laid ten thousand times coat by coat, vary and agree as we have it.
func TestHandOfStripsAndBoards(t *testing.T) {
	tests := []TestCoat{
		{Coats: 1, Board: "A", Strip: "A"}, {Coats: 2, Board: "A", Strip: "A"}, {Coats: 3, Board: "A", Strip: "A"}, {Coats: 2, Board: "B"},
	}
	rng := rand.New(rand.NewPCG(1948, 36))
	const times = 10_000
	logs := make([][]float64, len(tests))
	for range times {
		a, b, film := boardSD/math.Sqrt2*rng.NormFloat64(), boardSD/math.Sqrt2*rng.NormFloat64(), 0.0
		for i := range 3 {
			film += math.Exp(0.15 * rng.NormFloat64())
			logs[i] = append(logs[i], math.Log(film/float64(i+1))+a)
		}
		logs[3] = append(logs[3], math.Log((math.Exp(0.15*rng.NormFloat64())+math.Exp(0.15*rng.NormFloat64()))/2)+b)
	}
	e := Evidence{Tests: tests}
	for i := range tests {
		for k := range i + 1 {
			laid := stat.Covariance(logs[i], logs[k], nil)
			a, b := tests[i].handOf(blend.Brushed, e.boards()), tests[k].handOf(blend.Brushed, e.boards())
			want := a.covariance(&b)
			if i == k {
				want = a.variance()
			}
			require.InDelta(t, laid, want, 0.0012, "tests %d and %d", i, k)
		}
	}
}

// spreadOnPiece is the standard deviation of the logarithm of the film of one coat on the piece, over that of tests with readings
// that are all but exact.
func spreadOnPiece(t *testing.T, tests ...TestCoat) float64 {
	t.Helper()
	e := Evidence{Chip: chipOf(blendtest.RedWash)}
	for _, test := range tests {
		on := testCoat(blendtest.RedWash, blendtest.Ash, test.Coats)
		on.Even, on.Board, on.Strip = false, test.Board, test.Strip
		on.Ground.PlusMinus, on.Result.PlusMinus = 0.1, 0.1
		on.Ground.Key = "ash"
		e.Tests = append(e.Tests, on)
	}
	d := Dataset{Shelf: []ShelfCoating{{Name: "w", Kind: "wash", Evidence: e}}}
	w, err := d.Draw(t.Context(), Options{Draws: 400})
	require.NoError(t, err)
	var logs []float64
	for i := range w.Drawn {
		s := &w.Drawn[i]
		f := &s.Coatings[0].Films[15]
		logs = append(logs, math.Log((f.K+f.S)*s.BoardToPiece[0]))
	}
	return stat.StdDev(logs, nil)
}

// Two boards narrow more than two patches of one, and those more than a single one; a strip tells more than its last step alone, and
// less than its steps would if each had a hand of its own.
func TestBoardsAndStripsNarrow(t *testing.T) {
	one := spreadOnPiece(t, TestCoat{Coats: 1})
	patches := spreadOnPiece(t, TestCoat{Coats: 1, Board: "A"}, TestCoat{Coats: 1, Board: "A"})
	boards := spreadOnPiece(t, TestCoat{Coats: 1, Board: "A"}, TestCoat{Coats: 1, Board: "B"})
	steps := []TestCoat{{Coats: 1, Board: "A"}, {Coats: 2, Board: "A"}, {Coats: 3, Board: "A"}}
	apart := spreadOnPiece(t, steps...)
	for i := range steps {
		steps[i].Strip = "A"
	}
	strip := spreadOnPiece(t, steps...)
	t.Logf("log film on the piece: one test ±%.3f, two patches ±%.3f, two boards ±%.3f; 1, 2, 3 coats: a strip ±%.3f, as if apart ±%.3f",
		one, patches, boards, strip, apart)
	require.Less(t, patches, one)
	require.Less(t, boards, patches)
	require.Less(t, strip, one)
	require.Less(t, apart, strip)
}
