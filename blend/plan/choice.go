package plan

import (
	"cmp"
	"context"
	"math"
	"slices"

	"huewright/blend"
	"huewright/colour"
)

// A chosen is a choice with the candidate it was made of.
type chosen struct {
	Choice
	candidate *candidate
}

// choices weighs nearness against grain: the closest end, and where grain is known the balanced one and the one that
// keeps most, as far as none of them beats another in both.
func (p *planner) choices(ctx context.Context, a *Area, all []candidate) ([]chosen, error) {
	feasible, enough := p.feasible(a, anyCandidate), p.feasible(a, p.enoughGrain)
	closest, err := p.preferred(ctx, a, all, feasible)
	if err != nil {
		return nil, err
	}
	var out []chosen
	add := func(kind string, c *candidate, allowed condition) error {
		made, err := p.choice(ctx, a, kind, c, all, allowed)
		out = append(out, made)
		return err
	}
	if err := add(kindClosest, closest, feasible); err != nil || math.IsNaN(all[0].kept) {
		return out, err
	}
	balanced, err := p.preferred(ctx, a, all, enough)
	if err != nil {
		return nil, err
	}
	if balanced.layers.equal(closest.layers) {
		out[0].Kind = kindBalanced
	} else if err := add(kindBalanced, balanced, enough); err != nil {
		return nil, err
	}
	if most := p.keepsMost(a, all); most != nil && most.kept > balanced.kept+grainWorth && most.best > balanced.best {
		if err := add(kindMostGrain, most, feasible); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// choice works out what a candidate comes to; allowed says which counts its ranges may draw on.
func (p *planner) choice(ctx context.Context, a *Area, kind string, of *candidate, all []candidate, allowed condition) (chosen, error) {
	c := chosen{Choice{Kind: kind, Grain: of.kept, DeltaE: spread(of.best, of.deltaE)}, of}
	for _, d := range of.deltaE {
		if d <= p.problem.Options.Tolerance {
			c.Within += 1 / float64(len(of.deltaE))
		}
	}
	if len(of.layers) == 0 {
		p.leaveAlone(&c.Choice, a, all, allowed)
	}
	for i, l := range of.layers {
		counts, err := p.otherCounts(ctx, a, of.layers, i, all)
		if err != nil {
			return chosen{}, err
		}
		best := p.bestCounts(counts, allowed)
		c.Coats = append(c.Coats, CoatCount{p.shelf()[l.Coating].Name, l.Coats, rangeOf(best, l.Coats)})
		c.bestCounts = append(c.bestCounts, best)
		if i == 0 {
			continue
		}
		if do := blend.SealBetween(&p.shelf()[of.layers[i-1].Coating], &p.shelf()[l.Coating]); !do.Empty() {
			c.Between = append(c.Between, do)
		}
	}
	steps, err := p.steps(ctx, a, of.layers, 0, func(m model) colour.Lab { return m.target(a) })
	if err != nil {
		return chosen{}, err
	}
	c.StopAfter = stopAfter(steps, of.layers.coats())
	return c, nil
}

// leaveAlone says of a choice without any coat how many it may yet need: of the coating that comes nearest by itself.
// It adds nothing where no coat is best in 80 of 100 samples.
func (p *planner) leaveAlone(c *Choice, a *Area, all []candidate, allowed condition) {
	nearest := p.options(a, all)[0]
	if !nearest.Conflict.Empty() {
		return
	}
	best := p.bestCounts(p.countsOf(p.place(nearest.Coating), all), allowed)
	if r := rangeOf(best, 0); r[1] > 0 {
		c.Coats, c.bestCounts = []CoatCount{{nearest.Coating, 0, r}}, [][]int{best}
	}
}

// otherCounts returns the candidates with other counts of layer i, from none on.
func (p *planner) otherCounts(ctx context.Context, a *Area, ls layers, i int, all []candidate) ([]candidate, error) {
	if len(ls) == 1 {
		return p.countsOf(ls[0].Coating, all), nil
	}
	var options []layers
	for n := range p.problem.Options.MaxCoats - ls.coats() + ls[i].Coats + 1 {
		options = append(options, ls.with(i, n))
	}
	return p.evaluate(ctx, a, options)
}

// options returns the best of every coating by itself, in the order of AreaPlan.Options.
func (p *planner) options(a *Area, all []candidate) []Option {
	options := make([]Option, 0, len(p.shelf()))
	conflicts := func(o Option) int { return min(1, len(o.Conflict.Code)) }
	first := map[string]float64{} // ΔE00 after one coat
	for k, c := range p.shelf() {
		counts := p.countsOf(k, all)
		n := nearestCandidate(counts, p.problem.Options.Tolerance, p.objective, anyCandidate)
		_, why := p.mayLie(a, k)
		coats := CoatCount{c.Name, n, rangeOf(p.bestCounts(counts, anyCandidate), n)}
		options = append(options, Option{coats, counts[n].lab, counts[n].best, why})
		first[c.Name] = counts[1].best
	}
	slices.SortStableFunc(options, func(x, y Option) int {
		return cmp.Or(cmp.Compare(conflicts(x), conflicts(y)), cmp.Compare(x.DeltaE, y.DeltaE),
			cmp.Compare(first[x.Coating], first[y.Coating]), cmp.Compare(x.Coating, y.Coating))
	})
	return options
}
