package plan

import (
	"cmp"
	"context"
	"math"
	"slices"

	"huewright/colour"
	"huewright/internal/parallel"
	"huewright/internal/stat"
)

const worthACoat = 0.1 // ΔE00 that further coats must gain to be laid; nobody sees it

// A candidate is layers on one area, judged in all samples.
type candidate struct {
	layers   layers
	lab      colour.Lab // in the best sample
	best     float64    // ΔE00 to the target in the best sample
	deltaE   []float64  // by drawn sample
	expected float64    // mean of deltaE
	grain    []float64  // share kept, by drawn sample; NaN where there is none
	kept     float64    // median of grain
}

// A condition says which candidates count.
type condition func(*candidate) bool

func anyCandidate(*candidate) bool { return true }

// feasible is a condition narrowed to candidates that may lie on an area as it is.
func (p *planner) feasible(a *Area, allowed condition) condition {
	return func(c *candidate) bool { return p.layersMayLie(a, c.layers) && allowed(c) }
}

func (p *planner) newCandidate(ls layers) candidate {
	return candidate{layers: ls, deltaE: make([]float64, len(p.drawn)), grain: make([]float64, len(p.drawn))}
}

// setBest records the appearance in the best sample.
func (c *candidate) setBest(target colour.Lab, seen *appearance) {
	c.lab, c.best = seen.mean, colour.DeltaE2000(target, seen.mean)
}

// setDrawn records the appearance in drawn sample i; before is the baseline there.
func (c *candidate) setDrawn(i int, target colour.Lab, seen, before *appearance) {
	c.deltaE[i], c.grain[i] = colour.DeltaE2000(target, seen.mean), seen.keeps(before)
}

func (c *candidate) summarise() {
	for _, d := range c.deltaE {
		c.expected += d / float64(len(c.deltaE))
	}
	c.kept = stat.Quantile(c.grain, 0.5)
}

// evaluate makes candidates of layers on an area.
func (p *planner) evaluate(ctx context.Context, a *Area, options []layers) ([]candidate, error) {
	all := make([]candidate, len(options))
	before, targets := make([]appearance, len(p.drawn)), make([]colour.Lab, len(p.drawn))
	for i, m := range p.drawn {
		before[i], targets[i] = m.baseline(a), m.target(a)
	}
	target := p.best.target(a)
	if err := parallel.For(ctx, len(options), func(at int) {
		all[at] = p.newCandidate(options[at])
		c := &all[at]
		for i, m := range p.drawn {
			seen := m.final(a, c.layers)
			c.setDrawn(i, targets[i], &seen, &before[i])
		}
		seen := p.best.final(a, c.layers)
		c.setBest(target, &seen)
		c.summarise()
	}); err != nil {
		return nil, err
	}
	return all, nil
}

// singleCoatings evaluates laying nothing, and then every coating by itself in every count: n coats of
// coating k stand at 1 + k·MaxCoats + (n−1).
func (p *planner) singleCoatings(ctx context.Context, a *Area) ([]candidate, error) {
	most := p.problem.Options.MaxCoats
	all := []candidate{p.newCandidate(layers{})}
	for k := range p.shelf() {
		for n := 1; n <= most; n++ {
			all = append(all, p.newCandidate(layers{{k, n}}))
		}
	}
	each := func(m model, set func(*candidate, *appearance)) {
		for k := range p.shelf() {
			for n, seen := range m.appearances(a, layers{{k, most}}) {
				at := 0
				if n > 0 {
					at = k*most + n
				}
				set(&all[at], &seen)
			}
		}
	}
	if err := parallel.For(ctx, len(p.drawn), func(i int) {
		target, before := p.drawn[i].target(a), p.drawn[i].baseline(a)
		each(p.drawn[i], func(c *candidate, seen *appearance) { c.setDrawn(i, target, seen, &before) })
	}); err != nil {
		return nil, err
	}
	target := p.best.target(a)
	each(p.best, func(c *candidate, seen *appearance) { c.setBest(target, seen) })
	for i := range all {
		all[i].summarise()
	}
	return all, nil
}

// countsOf returns the candidates of coating k among singleCoatings, from no coats on.
func (p *planner) countsOf(k int, singles []candidate) []candidate {
	most := p.problem.Options.MaxCoats
	return append([]candidate{singles[0]}, singles[1+k*most:1+(k+1)*most]...)
}

// objective returns what is minimised: ΔE00 in the best sample or, where no chip of a coating was
// measured, its mean over the samples. They then disagree about where ever more coats lead, and the
// most probable limit is only one of many.
//
// Of 30 measured paints that nothing was chosen on, 15 counts each, the first found the true count
// more often where there was a chip (with one and a coat on a pale wood, 74 against 71 times in 100),
// the second where there was none (76 against 70); of 33 others likewise (65 and 61, 72 and 67).
func (p *planner) objective(c *candidate) float64 {
	for _, l := range c.layers {
		if p.limitUnknown[l.Coating] {
			return c.expected
		}
	}
	if len(c.layers) == 0 && slices.Contains(p.limitUnknown, true) {
		return c.expected
	}
	return c.best
}

// nearestCandidate returns the allowed candidate of fewest coats whose deltaE is within worthACoat of the
// least, and meets the target if any does; of several, the nearest. It is −1 where none is allowed.
func nearestCandidate(all []candidate, tolerance float64, deltaE func(*candidate) float64, allowed condition) int {
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
		c := &all[i]
		if !allowed(c) || !(deltaE(c) <= most) {
			continue
		}
		if best < 0 || cmp.Or(cmp.Compare(c.layers.coats(), all[best].layers.coats()), cmp.Compare(deltaE(c), deltaE(&all[best]))) < 0 {
			best = i
		}
	}
	return best
}

// bestCounts returns, by drawn sample, the index of the best of some candidates. allowed is asked of each
// with its figures in that sample.
func (p *planner) bestCounts(counts []candidate, allowed condition) []int {
	best := make([]int, len(p.drawn))
	for i := range p.drawn {
		here := func(c *candidate) bool {
			return allowed(&candidate{layers: c.layers, kept: c.grain[i], best: c.deltaE[i]})
		}
		deltaE := func(c *candidate) float64 { return c.deltaE[i] }
		best[i] = max(0, nearestCandidate(counts, p.problem.Options.Tolerance, deltaE, here))
	}
	return best
}

// rangeOf returns the narrowest run of counts that holds n and the best count of 80 of 100 samples.
func rangeOf(best []int, n int) [2]int {
	share := make([]float64, max(n, slices.Max(best))+1)
	for _, c := range best {
		share[c] += 1 / float64(len(best))
	}
	return narrowest(share, n, 0.8)
}

// narrowest returns the narrowest run of indices that holds n and at least that much of share.
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
