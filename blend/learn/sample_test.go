package learn

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"huewright/blend"
)

func TestFilmFactors(t *testing.T) {
	even := Sample{Coatings: []blend.Coating{{Name: "wash"}}, BoardToPiece: []float64{1}}
	require.Equal(t, []float64{1, 1, 1}, even.FilmFactors("frame", 0, 3))

	var logs []float64
	for seed := range uint64(300) {
		w := Sample{Coatings: []blend.Coating{{Name: "glaze"}, {Name: "wash"}}, BoardToPiece: []float64{1, 1}, Seed: seed + 1}
		factors := w.FilmFactors("frame", 1, 4)
		require.Equal(t, factors[:2], w.FilmFactors("frame", 1, 2), "the first coats do not depend on those to come")
		other := Sample{Coatings: []blend.Coating{{Name: "wash"}}, BoardToPiece: []float64{1}, Seed: seed + 1}
		require.Equal(t, factors, other.FilmFactors("frame", 0, 4), "nor on what else is on the shelf")
		require.NotEqual(t, factors, w.FilmFactors("panel", 1, 4))
		for _, h := range factors {
			logs = append(logs, math.Log(h))
		}
	}
	require.InDelta(t, 0.15, stat.StdDev(logs, nil), 0.015, "brushed")
	require.InDelta(t, 0, stat.Mean(logs, nil), 0.02)
}
