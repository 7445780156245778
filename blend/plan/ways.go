package plan

import (
	"cmp"
	"slices"
)

// A way is one to touch a spot up: drops of tubes, or touches of a coating.
type way struct {
	recipe  recipe
	touches int // 0: until it hides
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
				all = append(all, way{recipe: recipe{{k, 1}}, touches: n})
			}
		}
	}
	if len(tubes) > mostTubes {
		tubes = s.bestTubes(tubes)
	}
	mixes := s.mixesOf(tubes, mostPaints)
	s.sort(mixes)
	for i := range mixes[:min(mixesMended, len(mixes))] {
		s.descend(&mixes[i], tubes)
	}
	return append(all, mixes[:min(mixesMended, len(mixes))]...)
}

// descend moves a mix to its best neighbour, with a few drops of one tube more or less, or one more or less of twice as many, until none
// costs less in the best sample.
func (s *spot) descend(w *way, tubes []int) {
	wood := s.woodEnd(s.best)
	for {
		best := *w
		for _, k := range tubes {
			for _, step := range []struct{ times, by int }{{1, -3}, {1, -1}, {1, 1}, {1, 3}, {2, -1}, {2, 1}} {
				n := w.with(step.times, k, step.by)
				if n.recipe == nil || slices.ContainsFunc(n.recipe, func(of paint) bool { return !s.compatible(of.shelf, k) }) {
					continue
				}
				if s.price(&n, &wood); n.cost < best.cost-1e-9 {
					best = n
				}
			}
		}
		if best.cost == w.cost {
			return
		}
		*w = best
	}
}

// with returns a mix of so many times the drops and so many more of tube k, in its lowest terms; without a recipe where that cannot be.
func (w *way) with(times, k, by int) (n way) {
	r := slices.Clone(w.recipe)
	for i := range r {
		r[i].parts *= times
	}
	at := slices.IndexFunc(r, func(of paint) bool { return of.shelf == k })
	if at < 0 {
		r, at = append(r, paint{k, 0}), len(r)
	}
	if r[at].parts += by; r[at].parts == 0 {
		r = slices.Delete(r, at, at+1)
	}
	slices.SortFunc(r, func(a, b paint) int { return cmp.Compare(a.shelf, b.shelf) })
	if len(r) == 0 || len(r) > tubesInMix || r.parts() > mostDrops || slices.ContainsFunc(r, func(of paint) bool { return of.parts < 0 }) {
		return way{}
	}
	if !r.lowestTerms() {
		return way{}
	}
	return way{recipe: r, touches: w.touches}
}

// mixesOf are the whole-number mixes of up to so many tubes, in their lowest terms.
func (s *spot) mixesOf(tubes []int, most int) (all []way) {
	for _, r := range s.recipesOf(tubes, most, firstDrops) {
		all = append(all, way{recipe: r})
	}
	return all
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
		s.price(&ways[i], &wood)
	}
	slices.SortStableFunc(ways, func(a, b way) int {
		return cmp.Or(cmp.Compare(a.cost, b.cost), cmp.Compare(a.recipe.parts(), b.recipe.parts()))
	})
}

// price works out what a way costs in the best sample, whose wood ends so.
func (s *spot) price(w *way, wood *seenEnd) {
	end := s.end(s.best, s.touch(s.best, w))
	w.cost = wood.dayFrom(&end) + lampWeight*wood.lampFrom(&end) + w.price()
}

// price is the ΔE00 that a way must gain.
func (w *way) price() float64 {
	return w.recipe.price() + priceOfADrop*float64(w.recipe.parts()+w.touches)
}
