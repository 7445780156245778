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
	worthACoat  = 0.1 // ΔE00 that coats more must gain to be laid (our own choice; nobody sees it)
	mostPlanned = 100 // coats
	stackGain   = 1.0 // ΔE00 that a further coating must gain, since it costs another mix and more risk
	overshoots  = 0.2 // chance of leading away from which a coat is worth a look before it
	halfWay     = 0.5 // share of the difference that a choice for its grain must take away
)

// A planner is an ask with its worlds.
type planner struct {
	ask   *Problem
	best  view
	drawn []view // at least one: the best where nothing was drawn
	// unended are the coatings of which nothing so thick that it hides was seen.
	unended []bool
}

func newPlanner(w *learn.Samples, ask *Problem) *planner {
	p := &planner{ask: ask, best: view{ask, &w.Best}, unended: make([]bool, len(w.Best.Coatings))}
	for k := range w.Reports {
		p.unended[k] = !w.Reports[k].HasChip()
	}
	for i := range w.Drawn {
		p.drawn = append(p.drawn, view{ask, &w.Drawn[i]})
	}
	if len(p.drawn) == 0 {
		p.drawn = []view{p.best}
	}
	return p
}

// place is where on the shelf a coating stands.
func (p *planner) place(name string) int {
	return slices.IndexFunc(p.best.world.Coatings, func(c blend.Coating) bool { return c.Name == name })
}

// A candidate is a course tried on one area in all worlds.
type candidate struct {
	course   layers
	deltaE   []float64 // to the target, by world
	grain    []float64 // kept, by world; NaN where nothing is known of it
	best     float64   // deltaE in the most probable world
	lab      colour.Lab
	expected float64 // mean of deltaE
	kept     float64 // median of grain
}

func (p *planner) newTrial(c layers) candidate {
	return candidate{course: c, deltaE: make([]float64, len(p.drawn)), grain: make([]float64, len(p.drawn))}
}

func (t *candidate) sum() {
	for _, d := range t.deltaE {
		t.expected += d / float64(len(t.deltaE))
	}
	t.kept = stat.Quantile(t.grain, 0.5)
}

// try tries courses on an area.
func (p *planner) try(ctx context.Context, a *Area, courses []layers) ([]candidate, error) {
	trials := make([]candidate, len(courses))
	for i, c := range courses {
		trials[i] = p.newTrial(c)
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
			l := v.end(a, t.course)
			t.deltaE[w], t.grain[w] = colour.DeltaE2000(targets[w], l.mean), l.keeps(&before[w])
		}
		l := p.best.end(a, t.course)
		t.lab, t.best = l.mean, colour.DeltaE2000(target, l.mean)
		t.sum()
	}); err != nil {
		return nil, err
	}
	return trials, nil
}

// singles tries nothing at all and then every coating by itself in every count: of coating k
// the count n stands at 1 + k·MaxCoats + (n−1).
func (p *planner) singles(ctx context.Context, a *Area) ([]candidate, error) {
	most := p.ask.Options.MaxCoats
	all := []candidate{p.newTrial(layers{})}
	for k := range p.best.world.Coatings {
		for n := 1; n <= most; n++ {
			all = append(all, p.newTrial(layers{{k, n}}))
		}
	}
	shelf := len(p.best.world.Coatings)
	if err := parallel.For(ctx, len(p.drawn), func(w int) {
		v := p.drawn[w]
		target, before := v.target(a), v.baseline(a)
		for k := range shelf {
			looks := v.walk(a, layers{{k, most}})
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
		for n, l := range p.best.walk(a, layers{{k, most}}) {
			t := &all[0]
			if n > 0 {
				t = &all[k*most+n]
			}
			t.lab, t.best = l.mean, colour.DeltaE2000(target, l.mean)
		}
	}
	for i := range all {
		all[i].sum()
	}
	return all, nil
}

// counts is the trials of coating k among singles, from no coats on.
func (p *planner) counts(all []candidate, k int) []candidate {
	most := p.ask.Options.MaxCoats
	return append([]candidate{all[0]}, all[1+k*most:1+(k+1)*most]...)
}

// nearestTrial returns the trial of fewest coats among those whose deltaE is within worthACoat of the
// least, and meets the target if any does; of several, the nearest. Trials that are not
// allowed do not count; it is −1 where none is.
func nearestTrial(all []candidate, tolerance float64, deltaE func(*candidate) float64, allowed func(*candidate) bool) int {
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
		if best < 0 || cmp.Or(cmp.Compare(t.course.coats(), all[best].course.coats()), cmp.Compare(deltaE(t), deltaE(&all[best]))) < 0 {
			best = i
		}
	}
	return best
}

// likely is how near a trial comes in the most probable world; where the end of one of its
// coatings was never seen, in the mean over the worlds: they then disagree about where ever more
// coats lead, and the most probable end is only one of many.
//
// Of 30 measured paints that nothing was chosen on, 15 counts each, the first found the true count
// more often where there was a chip (with one and a coat on a pale wood, 74 against 71 times in 100),
// the second where there was none (76 against 70); of 33 others likewise (65 and 61, 72 and 67).
func (p *planner) likely(t *candidate) float64 {
	for _, l := range t.course {
		if p.unended[l.coating] {
			return t.expected
		}
	}
	if len(t.course) == 0 && slices.Contains(p.unended, true) {
		return t.expected
	}
	return t.best
}

func anything(*candidate) bool { return true }

// options is the best of every coating by itself.
func (p *planner) options(a *Area, all []candidate) []Option {
	options := make([]Option, 0, len(p.best.world.Coatings))
	first := map[string]float64{} // ΔE00 after one coat
	for k := range p.best.world.Coatings {
		counts := p.counts(all, k)
		n := nearestTrial(counts, p.ask.Options.Tolerance, p.likely, anything)
		name := p.best.world.Coatings[k].Name
		coats := CoatCount{name, n, rangeOf(p.bestCounts(counts, anything), n)}
		_, why := p.mayGoOn(a, k)
		options = append(options, Option{coats, counts[n].lab, counts[n].best, why})
		first[name] = counts[1].best
	}
	slices.SortStableFunc(options, func(x, y Option) int {
		return cmp.Or(cmp.Compare(min(1, len(x.MayNot)), min(1, len(y.MayNot))), cmp.Compare(x.DeltaE, y.DeltaE), cmp.Compare(first[x.Coating], first[y.Coating]), cmp.Compare(x.Coating, y.Coating))
	})
	return options
}

// bestCounts is the best count in each world. allowed says which trials count in a world.
func (p *planner) bestCounts(counts []candidate, allowed func(*candidate) bool) []int {
	best := make([]int, len(p.drawn))
	for w := range p.drawn {
		in := func(t *candidate) bool {
			one := candidate{course: t.course, kept: t.grain[w], best: t.deltaE[w]}
			return allowed(&one)
		}
		best[w] = max(0, nearestTrial(counts, p.ask.Options.Tolerance, func(t *candidate) float64 { return t.deltaE[w] }, in))
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
