package learn

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"huewright/blend"
)

// boardSD is the standard deviation of the logarithm of the board-to-piece factor. Common practice has no figures:
// this is a starting value of our own. Half of its variance is the board's and half the piece's, which shows where there are
// several boards.
const boardSD = 0.10

// A hand is how the film of a test may differ from the nominal one: by the application variability of its coats, which
// the steps of a strip share as far as they share coats, and by the board.
type hand struct {
	coats   float64 // less than one count as one
	perCoat float64 // standard deviation of the logarithm of the film of one coat
	perTest float64 // further standard deviation, of the whole test
	board   string
	boardSD float64 // standard deviation of the logarithm that all tests of the board share
	strip   string
}

// handOf returns the hand of a test of a coating that was put on so; boards are how many boards the coating was tested on.
func (t *TestCoat) handOf(p blend.PutOn, boards int) hand {
	h := hand{coats: t.Coats, perTest: earlierSD[t.From].film, board: t.Board}
	if t.Even {
		h.perTest = 0
	} else {
		h.perCoat = p.Variability()
	}
	if t.onBoard() && boards > 1 {
		h.boardSD = boardSD / math.Sqrt2
	}
	if t.From == OfThisPiece {
		h.strip = t.Strip
	}
	return h
}

// onBoard reports whether a test lies on a test board for this piece.
func (t *TestCoat) onBoard() bool { return !t.OnPiece && t.From == OfThisPiece }

// boards returns on how many boards the tests lie.
//
// Tests on one board alone are told against that board: its factor is 1, and all of the board-to-piece factor is the piece's.
func (e *Evidence) boards() int {
	var names []string
	for i := range e.Tests {
		if t := &e.Tests[i]; t.onBoard() && !slices.Contains(names, t.Board) {
			names = append(names, t.Board)
		}
	}
	return len(names)
}

// pieceSD returns the standard deviation of the logarithm of the film on the piece over that of the boards.
func (e *Evidence) pieceSD() float64 {
	if e.boards() > 1 {
		return boardSD / math.Sqrt2
	}
	return boardSD
}

// variance returns the variance of the logarithm of a test's film.
func (h *hand) variance() float64 {
	return h.perCoat*h.perCoat/max(1, h.coats) + h.perTest*h.perTest + h.boardSD*h.boardSD
}

// covariance returns the covariance of the logarithms of the films of two tests of one coating. The mean of n coats and that
// of the first m of them have the variance of one coat over max(n, m) in common.
func (h *hand) covariance(o *hand) (shared float64) {
	if h.strip != "" && h.strip == o.strip {
		shared = h.perCoat * o.perCoat / max(1, h.coats, o.coats)
	}
	if h.board == o.board {
		shared += h.boardSD * o.boardSD
	}
	return shared
}

// filmCovariance returns the covariance of the logarithms of the films of all observations.
func (q *problem) filmCovariance() *mat.SymDense {
	cov := mat.NewSymDense(len(q.observations), nil)
	for i := range q.observations {
		for k := i; k < len(q.observations); k++ {
			switch v, w := &q.observations[i].hand, &q.observations[k].hand; {
			case i == k:
				cov.SetSym(i, i, v.variance())
			case q.component[i] == q.component[k]:
				cov.SetSym(i, k, v.covariance(w))
			}
		}
	}
	return cov
}
