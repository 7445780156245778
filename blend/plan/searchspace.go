package plan

import (
	"cmp"
	"math"
	"slices"

	"huewright/colour"
)

const (
	worthMeeting  = 0.2 // ΔE00 that a coat must bring areas nearer to one another: each is a day's wait, and cannot be taken off
	mostMeetLayer = 5   // coats of each coating where areas meet under two coatings
)

// A layerOrder is the coatings, undermost first, that all areas may get some coats of.
type layerOrder []int

// layersIn returns all counts of the coatings of an order, none included.
func (p *planner) layersIn(order layerOrder) (all []layers) {
	most := p.problem.Options.MaxCoats
	if len(order) == 1 {
		for n := range most + 1 {
			all = append(all, layers{{order[0], n}})
		}
		return all
	}
	for n := range mostMeetLayer + 1 {
		for m := range mostMeetLayer + 1 {
			if n+m <= most {
				all = append(all, layers{{order[0], n}, {order[1], m}})
			}
		}
	}
	return all
}

// A searchSpace is what may be laid on each of some areas, and how each then looks in one sample. What is
// sought is a pick: an option, by its index, for each area.
type searchSpace struct {
	options     []layers
	appearances [][]appearance // by area and option
	grain       [][]float64    // share kept, by area and option
	tolerance   float64        // ΔE00 below which nearer is not better
	pairwise    [][][]float64  // ΔE00 of areas i and k < i under options c and d, at c·len(options) + d; see comparePairs
}

// searchSpace fills a search space: of returns the appearances of an area under the options.
func (m model) searchSpace(areas []*Area, options []layers, tolerance float64, of func(*Area) []appearance) *searchSpace {
	s := &searchSpace{options: options, tolerance: tolerance}
	for _, a := range areas {
		before, all := m.baseline(a), of(a)
		grain := make([]float64, len(all))
		for i := range all {
			grain[i] = all[i].keeps(&before)
		}
		s.appearances, s.grain = append(s.appearances, all), append(s.grain, grain)
	}
	return s
}

// searchSpace returns the search space of an order of coatings.
func (p *planner) searchSpace(m model, areas []*Area, order layerOrder) *searchSpace {
	options := p.layersIn(order)
	s := m.searchSpace(areas, options, p.problem.Options.Tolerance, func(a *Area) []appearance {
		if len(order) == 1 {
			return m.appearances(a, options[len(options)-1])
		}
		all := make([]appearance, len(options))
		for i, ls := range options {
			all[i] = m.final(a, ls)
		}
		return all
	})
	s.comparePairs()
	return s
}

// comparePairs works out the ΔE00 of every two areas under every two options.
func (s *searchSpace) comparePairs() {
	n := len(s.options)
	s.pairwise = make([][][]float64, len(s.appearances))
	for i := range s.appearances {
		s.pairwise[i] = make([][]float64, i)
		for k := range i {
			pair := make([]float64, n*n)
			for c := range n {
				for d := range n {
					pair[c*n+d] = colour.DeltaE2000(s.appearances[i][c].mean, s.appearances[k][d].mean)
				}
			}
			s.pairwise[i][k] = pair
		}
	}
}

// deltaE returns the ΔE00 of area i under option c from area k under option d.
func (s *searchSpace) deltaE(i, c, k, d int) float64 {
	if i < k {
		i, c, k, d = k, d, i, c
	}
	return s.pairwise[i][k][c*len(s.options)+d]
}

// nothing is the pick of the first option for every area: no coats.
func (s *searchSpace) nothing() []int { return make([]int, len(s.appearances)) }

// worstPair returns the largest ΔE00 of two areas, and which two.
func (s *searchSpace) worstPair(pick []int) (deltaE float64, pair [2]int) {
	for i := range pick {
		for k := range i {
			if d := s.deltaE(i, pick[i], k, pick[k]); d >= deltaE {
				deltaE, pair = d, [2]int{k, i}
			}
		}
	}
	return deltaE, pair
}

// pairDifferences returns the ΔE00 of every two areas: of 0 and 1, of 0 and 2, of 1 and 2, and so on.
func (s *searchSpace) pairDifferences(pick []int) (all []float64) {
	for i := range pick {
		for k := range i {
			all = append(all, s.deltaE(i, pick[i], k, pick[k]))
		}
	}
	return all
}

// leastGrain returns the least share of grain that an area keeps; NaN where none has any.
func (s *searchSpace) leastGrain(pick []int) float64 {
	least := math.NaN()
	for i, c := range pick {
		if g := s.grain[i][c]; !math.IsNaN(g) && !(g >= least) {
			least = g
		}
	}
	return least
}

// keeps reports whether area i under option c keeps so much grain, or has none to keep.
func (s *searchSpace) keeps(i, c int, least float64) bool {
	return s.options[c].coats() == 0 || !(s.grain[i][c] < least-1e-9)
}

func (s *searchSpace) coats(pick []int) (n int) {
	for _, c := range pick {
		n += s.options[c].coats()
	}
	return n
}

// cost is the ΔE00 of the worst pair, where that is not within tolerance, and the price of the coats.
func (s *searchSpace) cost(pick []int) float64 {
	worst, _ := s.worstPair(pick)
	return max(worst, s.tolerance) + worthMeeting*float64(s.coats(pick))
}

// minimise returns the pick of least cost; nil where nothing is allowed to an area.
//
// Two areas are searched exhaustively. More are started from every option of every area, with all others as near
// to it as they can be, and improved by coordinate descent: see TestMeetingOfMany for what that misses.
func (s *searchSpace) minimise(allowed func(area, option int) bool) []int {
	may := make([][]int, len(s.appearances))
	for i := range may {
		for c := range s.options {
			if allowed(i, c) {
				may[i] = append(may[i], c)
			}
		}
		if len(may[i]) == 0 {
			return nil
		}
	}
	var best []int
	least := math.Inf(1)
	take := func(pick []int) {
		if cost := s.cost(pick); cost < least {
			best, least = slices.Clone(pick), cost
		}
	}
	pick := make([]int, len(may))
	if len(may) == 2 {
		for _, pick[0] = range may[0] {
			for _, pick[1] = range may[1] {
				take(pick)
			}
		}
		return best
	}
	for i := range may {
		for _, anchor := range may[i] {
			s.gather(pick, i, anchor, may)
			s.descend(pick, may)
			take(pick)
		}
	}
	return best
}

// gather picks for every area what comes nearest to area i under option c.
func (s *searchSpace) gather(pick []int, i, c int, may [][]int) {
	for k := range may {
		pick[k] = c
		if k != i {
			pick[k] = slices.MinFunc(may[k], func(d, e int) int { return cmp.Compare(s.deltaE(i, c, k, d), s.deltaE(i, c, k, e)) })
		}
	}
}

// descend is coordinate descent: it moves one area after the other to its option of least cost until none gains.
func (s *searchSpace) descend(pick []int, may [][]int) {
	const mostRounds = 8
	least := s.cost(pick)
	for range mostRounds {
		moved := false
		for i := range pick {
			was := pick[i]
			best := was
			for _, pick[i] = range may[i] {
				if c := s.cost(pick); c < least-1e-9 {
					least, best = c, pick[i]
				}
			}
			pick[i] = best
			moved = moved || best != was
		}
		if !moved {
			return
		}
	}
}
