package plan

import (
	"cmp"
	"context"
	"math"
	"slices"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/internal/parallel"
	"huewright/internal/stat"
)

const (
	worthACoat    = 0.1 // ΔE00 that coats more must gain to be laid (our own choice; nobody sees it)
	coatLimit     = 100 // coats
	worthACoating = 1.0 // ΔE00 that a further coating must gain, since it costs another mix and more risk
	overshootRisk = 0.2 // chance of leading away from which a coat is worth a look before it
	halfWay       = 0.5 // share of the difference that a choice for its grain must take away
)

// A planner is an ask with its worlds.
type planner struct {
	problem *Problem
	best    model
	drawn   []model // at least one: the best where nothing was drawn
	// unended are the coatings of which nothing so thick that it hides was seen.
	limitUnknown []bool
}

func newPlanner(w *learn.Samples, ask *Problem) *planner {
	p := &planner{problem: ask, best: model{ask, &w.Best}, limitUnknown: make([]bool, len(w.Best.Coatings))}
	for k := range w.Reports {
		p.limitUnknown[k] = !w.Reports[k].HasChip()
	}
	for i := range w.Drawn {
		p.drawn = append(p.drawn, model{ask, &w.Drawn[i]})
	}
	if len(p.drawn) == 0 {
		p.drawn = []model{p.best}
	}
	return p
}

// place is where on the shelf a coating stands.
func (p *planner) place(name string) int {
	return slices.IndexFunc(p.best.sample.Coatings, func(c blend.Coating) bool { return c.Name == name })
}

// A candidate is a course tried on one area in all worlds.
type candidate struct {
	layers   layers
	deltaE   []float64 // to the target, by world
	grain    []float64 // kept, by world; NaN where nothing is known of it
	best     float64   // deltaE in the most probable world
	lab      colour.Lab
	expected float64 // mean of deltaE
	kept     float64 // median of grain
}

func (p *planner) newCandidate(c layers) candidate {
	return candidate{layers: c, deltaE: make([]float64, len(p.drawn)), grain: make([]float64, len(p.drawn))}
}

func (t *candidate) summarise() {
	for _, d := range t.deltaE {
		t.expected += d / float64(len(t.deltaE))
	}
	t.kept = stat.Quantile(t.grain, 0.5)
}

// evaluate tries courses on an area.
func (p *planner) evaluate(ctx context.Context, a *Area, courses []layers) ([]candidate, error) {
	trials := make([]candidate, len(courses))
	for i, c := range courses {
		trials[i] = p.newCandidate(c)
	}
	before := make([]appearance, len(p.drawn))
	targets := make([]colour.Lab, len(p.drawn))
	for w, v := range p.drawn {
		before[w], targets[w] = v.baseline(a), v.target(a)
	}
	target := p.best.target(a)
	if err := parallel.For(ctx, len(courses), func(i int) {
		t := &trials[i]
		for w, v := range p.drawn {
			l := v.final(a, t.layers)
			t.deltaE[w], t.grain[w] = colour.DeltaE2000(targets[w], l.mean), l.keeps(&before[w])
		}
		l := p.best.final(a, t.layers)
		t.lab, t.best = l.mean, colour.DeltaE2000(target, l.mean)
		t.summarise()
	}); err != nil {
		return nil, err
	}
	return trials, nil
}

// singleCoatings tries nothing at all and then every coating by itself in every count: of coating k
// the count n stands at 1 + k·MaxCoats + (n−1).
func (p *planner) singleCoatings(ctx context.Context, a *Area) ([]candidate, error) {
	most := p.problem.Options.MaxCoats
	all := []candidate{p.newCandidate(layers{})}
	for k := range p.best.sample.Coatings {
		for n := 1; n <= most; n++ {
			all = append(all, p.newCandidate(layers{{k, n}}))
		}
	}
	shelf := len(p.best.sample.Coatings)
	if err := parallel.For(ctx, len(p.drawn), func(w int) {
		v := p.drawn[w]
		target, before := v.target(a), v.baseline(a)
		for k := range shelf {
			looks := v.appearances(a, layers{{k, most}})
			for n, l := range looks {
				t := &all[0]
				if n > 0 {
					t = &all[k*most+n]
				}
				t.deltaE[w], t.grain[w] = colour.DeltaE2000(target, l.mean), l.keeps(&before)
			}
		}
	}); err != nil {
		return nil, err
	}
	target := p.best.target(a)
	for k := range shelf {
		for n, l := range p.best.appearances(a, layers{{k, most}}) {
			t := &all[0]
			if n > 0 {
				t = &all[k*most+n]
			}
			t.lab, t.best = l.mean, colour.DeltaE2000(target, l.mean)
		}
	}
	for i := range all {
		all[i].summarise()
	}
	return all, nil
}

// countsOf is the trials of coating k among singles, from no coats on.
func (p *planner) countsOf(all []candidate, k int) []candidate {
	most := p.problem.Options.MaxCoats
	return append([]candidate{all[0]}, all[1+k*most:1+(k+1)*most]...)
}

// nearestCandidate returns the trial of fewest coats among those whose deltaE is within worthACoat of the
// least, and meets the target if any does; of several, the nearest. Trials that are not
// allowed do not count; it is −1 where none is.
func nearestCandidate(all []candidate, tolerance float64, deltaE func(*candidate) float64, allowed func(*candidate) bool) int {
	least := math.Inf(1)
	for i := range all {
		if allowed(&all[i]) {
			least = min(least, deltaE(&all[i]))
		}
	}
	most := least + worthACoat
	if least <= tolerance {
		most = min(most, tolerance)
	}
	best := -1
	for i := range all {
		t := &all[i]
		if !allowed(t) || !(deltaE(t) <= most) {
			continue
		}
		if best < 0 || cmp.Or(cmp.Compare(t.layers.coats(), all[best].layers.coats()), cmp.Compare(deltaE(t), deltaE(&all[best]))) < 0 {
			best = i
		}
	}
	return best
}

// objective is how near a trial comes in the most probable world; where the end of one of its
// coatings was never seen, in the mean over the worlds: they then disagree about where ever more
// coats lead, and the most probable end is only one of many.
//
// Of 30 measured paints that nothing was chosen on, 15 counts each, the first found the true count
// more often where there was a chip (with one and a coat on a pale wood, 74 against 71 times in 100),
// the second where there was none (76 against 70); of 33 others likewise (65 and 61, 72 and 67).
func (p *planner) objective(t *candidate) float64 {
	for _, l := range t.layers {
		if p.limitUnknown[l.coating] {
			return t.expected
		}
	}
	if len(t.layers) == 0 && slices.Contains(p.limitUnknown, true) {
		return t.expected
	}
	return t.best
}

func anyCandidate(*candidate) bool { return true }

// options is the best of every coating by itself.
func (p *planner) options(a *Area, all []candidate) []Option {
	options := make([]Option, 0, len(p.best.sample.Coatings))
	first := map[string]float64{} // ΔE00 after one coat
	for k := range p.best.sample.Coatings {
		counts := p.countsOf(all, k)
		n := nearestCandidate(counts, p.problem.Options.Tolerance, p.objective, anyCandidate)
		name := p.best.sample.Coatings[k].Name
		coats := CoatCount{name, n, rangeOf(p.bestCounts(counts, anyCandidate), n)}
		_, why := p.mayLie(a, k)
		options = append(options, Option{coats, counts[n].lab, counts[n].best, why})
		first[name] = counts[1].best
	}
	slices.SortStableFunc(options, func(x, y Option) int {
		return cmp.Or(cmp.Compare(min(1, len(x.Conflict)), min(1, len(y.Conflict))), cmp.Compare(x.DeltaE, y.DeltaE), cmp.Compare(first[x.Coating], first[y.Coating]), cmp.Compare(x.Coating, y.Coating))
	})
	return options
}

// bestCounts is the best count in each world. allowed says which trials count in a world.
func (p *planner) bestCounts(counts []candidate, allowed func(*candidate) bool) []int {
	best := make([]int, len(p.drawn))
	for w := range p.drawn {
		in := func(t *candidate) bool {
			one := candidate{layers: t.layers, kept: t.grain[w], best: t.deltaE[w]}
			return allowed(&one)
		}
		best[w] = max(0, nearestCandidate(counts, p.problem.Options.Tolerance, func(t *candidate) float64 { return t.deltaE[w] }, in))
	}
	return best
}

// rangeOf is the narrowest run of counts that holds the best count of 80 of 100 worlds, and n.
func rangeOf(best []int, n int) [2]int {
	share := make([]float64, max(n, slices.Max(best))+1)
	for _, c := range best {
		share[c] += 1 / float64(len(best))
	}
	return narrowest(share, n, 0.8)
}

// narrowest is the narrowest run of places that holds at least the given share, and n.
func narrowest(share []float64, n int, holds float64) [2]int {
	best, bestSum := [2]int{0, len(share) - 1}, 0.0
	for from := 0; from <= n; from++ {
		sum := 0.0
		for to := from; to < len(share); to++ {
			sum += share[to]
			if to < n || sum < holds-1e-9 {
				continue
			}
			if width := to - from; width < best[1]-best[0] || width == best[1]-best[0] && sum > bestSum {
				best, bestSum = [2]int{from, to}, sum
			}
			break
		}
	}
	return best
}
