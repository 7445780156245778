package plan

import (
	"cmp"
	"math"
	"slices"

	"huewright/colour"
	"huewright/colour/spectra"
)

// A way is one to touch a spot up: drops of tubes, or touches of a coating.
type way struct {
	recipe  recipe
	touches int              // 0: until it hides
	mended  spectra.Spectrum // in the best sample, once a mix is mended by eye
	cost    float64
}

// ways are all that are tried: coatings by themselves, and mixes of tubes.
func (s *spot) ways(shares []float64) (all []way) {
	var tubes []int
	for k := range s.shelf() {
		switch c := &s.shelf()[k]; {
		case !s.mayTouch(k):
		case c.Kind == "paint" && (k >= len(shares) || shares[k] == 0 || shares[k] >= 1):
			tubes = append(tubes, k)
		default:
			for n := 1; n <= mostTouches; n++ {
				all = append(all, s.wayOf(recipe{{k, 1}}, n))
			}
		}
	}
	if len(tubes) > mostTubes {
		tubes = s.bestTubes(tubes)
	}
	return append(all, s.mixesOf(tubes, tubesInMix)...)
}

func (s *spot) wayOf(r recipe, touches int) way {
	w := way{recipe: r, touches: touches}
	w.mended = s.touch(s.best, &w)
	return w
}

// mixesOf are the tubes by themselves and the mixes of up to so many, each mended by eye, and told in drops.
func (s *spot) mixesOf(tubes []int, most int) (all []way) {
	for _, r := range s.recipesOf(tubes, most, most) {
		if r.parts() > len(r) { // not one of each
			continue
		}
		w := s.wayOf(r, 0)
		if len(r) > 1 {
			s.mend(&w)
		}
		all = append(all, w)
	}
	return all
}

// mend mends a mix with its own tubes until a dab looks as it is to, in the best sample, and tells it in drops. The eye takes as much of
// each as it wants: of a strong tube a drop may be too much for twenty of a weak one, and is then taken with the tip of the brush. Where no
// amounts come near enough it is the nearest.
func (s *spot) mend(w *way) {
	amounts := s.nearestMix(w)
	w.mended = s.touchOf(s.best, w, amounts)
	if is := w.mended.Lab(); colour.DeltaE2000(s.toLook, is) <= mendable {
		have, want := spectra.PriorSpectrum(is), spectra.PriorSpectrum(s.toLook)
		for i := range w.mended {
			w.mended[i] = min(w.mended[i]*want[i]/max(have[i], 1e-6), 1)
		}
	}
	w.recipe = s.inDrops(w.recipe, amounts)
}

// nearestMix returns the amounts of a way's tubes whose mix comes nearest to what the spot is to look like, in the best sample: each is
// raised and lowered by ever smaller factors.
func (s *spot) nearestMix(w *way) []float64 {
	amounts := slices.Repeat([]float64{1}, len(w.recipe))
	off := func() float64 {
		mixed := s.touchOf(s.best, w, amounts)
		return colour.DeltaE2000(s.toLook, mixed.Lab())
	}
	least := off()
	for factor := 4.0; factor > 1.02 && least > 0.1; {
		better := false
		for i, was := range amounts {
			for _, amount := range []float64{was * factor, was / factor} {
				amounts[i] = amount
				if d := off(); d < least {
					least, was, better = d, amount, true
				}
			}
			amounts[i] = was
		}
		if !better {
			factor = math.Sqrt(factor)
		}
	}
	return amounts
}

// inDrops returns a recipe in whole drops, one of each at least: of up to mostDrops those that look most like the mix of the amounts, but
// for the price of each.
func (s *spot) inDrops(r recipe, amounts []float64) (best recipe) {
	whole, least := 0.0, math.Inf(1)
	for _, amount := range amounts {
		whole += amount
	}
	for n := len(r); n <= mostDrops; n++ {
		drops := slices.Clone(r)
		for i := range drops {
			drops[i].parts = max(1, int(math.Round(float64(n)*amounts[i]/whole)))
		}
		if drops.parts() > mostDrops || !drops.lowestTerms() {
			continue
		}
		mixed := s.touch(s.best, &way{recipe: drops})
		if off := colour.DeltaE2000(s.toLook, mixed.Lab()) + priceOfADrop*float64(drops.parts()); off < least {
			best, least = drops, off
		}
	}
	return best
}

// bestTubes returns the tubes of the best mixes of two.
func (s *spot) bestTubes(tubes []int) (best []int) {
	pairs := s.mixesOf(tubes, 2)
	s.sort(pairs)
	for _, w := range pairs {
		for _, of := range w.recipe {
			if !slices.Contains(best, of.shelf) && len(best) < mostTubes {
				best = append(best, of.shelf)
			}
		}
	}
	return best
}

// sort sorts ways by what they cost in the best sample.
func (s *spot) sort(ways []way) {
	wood := s.woodEnd(s.best)
	for i := range ways {
		end := s.end(s.best, ways[i].mended)
		ways[i].cost = wood.dayFrom(&end) + lampWeight*wood.lampFrom(&end) + ways[i].price()
	}
	slices.SortStableFunc(ways, func(a, b way) int {
		return cmp.Or(cmp.Compare(a.cost, b.cost), cmp.Compare(a.recipe.parts(), b.recipe.parts()))
	})
}

// price is the ΔE00 that a way must gain.
func (w *way) price() float64 {
	return w.recipe.price() + priceOfADrop*float64(w.recipe.parts()+w.touches)
}
