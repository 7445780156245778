package learn

import (
	"hash/fnv"
	"math"
	"math/rand/v2"

	"huewright/blend"
	"huewright/colour/spectra"
)

// A Sample is one way in which things may be, given all that was measured of a piece: what each
// coating does, what each surface is, and how the hand will lay the coats. A plan that is right in
// most worlds is a good plan.
type Sample struct {
	Coatings []blend.Coating    // the shelf, in its order
	Colours  []spectra.Spectrum // what was measured, in the survey's order
	Clear    blend.ClearCoat    // the finish to come
	// Board is, by coating, the film that a coat leaves on the piece over what it left on the
	// test board.
	BoardToPiece []float64
	// Seed is what this world's hand is drawn from; 0 lays every coat as Board has it.
	Seed uint64
	// Uneven is how much more unevenly than usual this world's hand lays coats; 0 means 1.
	variability float64
}

// Samples are what a survey leaves open.
type Samples struct {
	Best    Sample   // the middle of all that may be, laid by an even hand
	Drawn   []Sample // drawn with the probability they have, all equally likely
	Reports []Report
}

// unevenBoard is the standard deviation of the logarithm of Board. Common practice has no
// figures: this is a starting value of our own.
const unevenBoard = 0.10

// FilmFactors returns what each of so many coats leaves, over what it should, when coating number k of
// the shelf is laid on an area. It depends on their names alone, so that the order of areas and
// coatings changes nothing.
func (w *Sample) FilmFactors(area string, k, coats int) []float64 {
	hand := make([]float64, coats)
	for i := range hand {
		hand[i] = w.BoardToPiece[k]
	}
	if w.Seed == 0 {
		return hand
	}
	c := &w.Coatings[k]
	uneven := c.PutOn.Unevenness() * max(1, w.variability)
	rng := rand.New(rand.NewPCG(w.Seed, SeedOf(area, c.Name)))
	for i := range hand {
		hand[i] = w.BoardToPiece[k] * math.Exp(uneven*rng.NormFloat64())
	}
	return hand
}

// SeedOf is a number that stands for names.
func SeedOf(names ...string) uint64 {
	h := fnv.New64a()
	for _, n := range names {
		h.Write([]byte(n))
		h.Write([]byte{0})
	}
	return h.Sum64()
}
