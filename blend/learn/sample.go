package learn

import (
	"hash/fnv"
	"math"
	"math/rand/v2"

	"huewright/blend"
	"huewright/colour/spectra"
)

// Samples describe the posterior distribution of a [Dataset].
type Samples struct {
	Best    Sample   // the central sample, without application variability; see Options.Draws
	Drawn   []Sample // the draws, equally likely
	Reports []Report // on each coating of the shelf
}

// A Sample is a posterior sample: what each coating does, the spectrum of each measured colour and the thickness of
// the coats to come, all as they may be given the data. A plan that is right in most samples is a good plan.
type Sample struct {
	Coatings     []blend.Coating    // the shelf, in its order
	Colours      []spectra.Spectrum // of the dataset's Colours
	Clear        blend.ClearCoat    // the clear coat to come
	BoardToPiece []float64          // by coating, the film that a coat leaves on the piece over that on the test board
	Seed         uint64             // of the application variability; 0 leaves it out

	absorption  []absorption // of each coating of the shelf
	strengths   []strength   // the same
	variability float64      // factor on the usual application variability; less than 1 means 1
}

// FilmFactors returns the film that each of so many coats leaves over the nominal one, when coating k of the shelf is
// laid on an area: the board-to-piece factor times the application variability. It depends on the names of area and
// coating, not on their order.
func (s *Sample) FilmFactors(area string, k, coats int) []float64 {
	factors := make([]float64, coats)
	for i := range factors {
		factors[i] = s.BoardToPiece[k]
	}
	if s.Seed == 0 {
		return factors
	}
	c := &s.Coatings[k]
	sd := c.PutOn.Variability() * max(1, s.variability)
	rng := rand.New(rand.NewPCG(s.Seed, SeedOf(area, c.Name)))
	for i := range factors {
		factors[i] = s.BoardToPiece[k] * math.Exp(sd*rng.NormFloat64())
	}
	return factors
}

// SeedOf returns a seed that depends on names and their order: the 64-bit FNV-1a hash.
func SeedOf(names ...string) uint64 {
	h := fnv.New64a()
	for _, n := range names {
		h.Write([]byte(n))
		h.Write([]byte{0})
	}
	return h.Sum64()
}
