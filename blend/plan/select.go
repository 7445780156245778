package plan

import (
	"cmp"
	"context"
	"math"
	"slices"
)

const (
	mostLayers    = 3    // coatings one over another
	worthACoating = 1.0  // ΔE00 that a further coating must gain, since it costs another mix and more risk
	halfWay       = 0.5  // share of the difference that a choice for its grain must take away
	grainWorth    = 0.05 // share of the grain more that is worth a choice of its own
)

// enoughGrain is the condition that a candidate keeps Options.LeastGrain, has no grain to keep, or lays nothing: coats that hide
// more already cannot be taken off.
func (p *planner) enoughGrain(c *candidate) bool {
	return len(c.layers) == 0 || math.IsNaN(c.kept) || c.kept >= p.problem.Options.LeastGrain-1e-9
}

// preferred returns the nearest of the allowed candidates that needs no more coatings than it gains by.
func (p *planner) preferred(ctx context.Context, a *Area, all []candidate, allowed condition) (*candidate, error) {
	best := (*candidate)(nil)
	for n := range mostLayers + 1 {
		i := nearestCandidate(all, p.problem.Options.Tolerance, p.objective,
			func(c *candidate) bool { return len(c.layers) <= n && allowed(c) })
		if i < 0 {
			continue
		}
		if c := &all[i]; best == nil || n <= 1 || best.best > p.problem.Options.Tolerance && c.best <= best.best-worthACoating {
			best = c
		}
	}
	return p.conservative(ctx, a, all, best, allowed) // laying nothing is always allowed
}

// conservative takes away coats as long as the expected ΔE00 falls: a coat cannot be taken off, and the most
// probable sample is only one of many.
func (p *planner) conservative(ctx context.Context, a *Area, all []candidate, c *candidate, allowed condition) (*candidate, error) {
	for len(c.layers) > 0 {
		fewer, err := p.oneFewer(ctx, a, all, c.layers)
		if err != nil {
			return nil, err
		}
		fewer = slices.DeleteFunc(fewer, func(f *candidate) bool { return !allowed(f) })
		if len(fewer) == 0 {
			return c, nil
		}
		best := slices.MinFunc(fewer, func(x, y *candidate) int { return cmp.Compare(x.expected, y.expected) })
		if c.expected <= best.expected {
			return c, nil
		}
		c = best
	}
	return c, nil
}

// oneFewer returns the candidates with one coat less of each of some layers.
func (p *planner) oneFewer(ctx context.Context, a *Area, all []candidate, ls layers) (fewer []*candidate, err error) {
	if len(ls) == 1 {
		return []*candidate{&p.countsOf(ls[0].Coating, all)[ls[0].Coats-1]}, nil
	}
	var options []layers
	for i := range ls {
		options = append(options, ls.with(i, ls[i].Coats-1).laid())
	}
	candidates, err := p.evaluate(ctx, a, options)
	for i := range candidates {
		fewer = append(fewer, &candidates[i])
	}
	return fewer, err
}

// keepsMost returns the candidate of a single coating that keeps most grain of those that take half of the
// difference away; nil where none does.
func (p *planner) keepsMost(a *Area, all []candidate) (best *candidate) {
	for i := range all {
		c := &all[i]
		if len(c.layers) != 1 || !p.layersMayLie(a, c.layers) || c.best > halfWay*all[0].best {
			continue
		}
		if best == nil || c.kept > best.kept {
			best = c
		}
	}
	return best
}
