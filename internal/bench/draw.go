package bench

import (
	"math/rand/v2"

	"huewright/colour"
)

// DrawCabinet draws a case for a test of coat counts: a wash of any kind whose first coat moves
// a pale wood by 5–9 ΔE00, a board of ash and one of sapele finished with 1–5 coats of it.
// Whoever made the boards mixed the wash anew, so it is a little off, and the boards grew
// elsewhere than the cabinet: the target is near what can be reached, not on it.
//
// Only counts are drawn at which one coat more or less shows (1 ΔE00 on the wood in question):
// where a coat cannot be seen nobody can count it.
func DrawCabinet(seed uint64) CabinetOptions { return Making{}.DrawCabinet(seed) }

// DrawCabinet is what [DrawCabinet] draws, where coats make colour in this way.
func (m Making) DrawCabinet(seed uint64) CabinetOptions {
	rng := rand.New(rand.NewPCG(seed, 0xd4a3))
	name := recipes[rng.IntN(len(recipes))].name
	firstCoat := 5 + 4*rng.Float64()
	mine, theirs := m.NewWash(seed, name, firstCoat), m.NewWash(seed+1<<32, name, firstCoat)
	return CabinetOptions{
		Seed: seed,
		Wash: mine,
		Boards: []SampleBoard{
			{Pale: true, Coats: float64(drawCount(rng, mine, ash)), Wash: theirs},
			{Coats: float64(drawCount(rng, mine, sapele)), Wash: theirs},
		},
	}
}

func drawCount(rng *rand.Rand, w *Wash, sp species) int {
	const most, shows = 5, 1.0
	ground := &sp.palette(1, 1)[levels/4]
	var path [most + 2]colour.Lab
	for n := range path {
		covered := w.Over(ground, float64(n))
		path[n] = covered.Lab()
	}
	countable := 1
	for n := 2; n <= most; n++ {
		if colour.DeltaE2000(path[n], path[n+1]) >= shows {
			countable = n
		}
	}
	return 1 + rng.IntN(countable)
}
