package plan

import (
	"cmp"
	"context"
	"slices"

	"huewright/blend"
	"huewright/colour"
	"huewright/internal/parallel"
)

const (
	mostLayers     = 3  // coatings one over another
	mostStackCoats = 12 // of all coatings of a stack together; beyond, grain and patience are gone
	stacksTried    = 6  // of each number of coatings, and of each way to choose, in all worlds
)

// A stack is a stack in the most probable world.
type stack struct {
	layers layers
	deltaE float64
	grain  float64
}

// stacks tries the best stacks of two and three coatings, each of at least one coat, in orders
// that the rules of layers allow; none where a single coating meets the target with enough of
// the grain.
func (p *planner) stacks(ctx context.Context, a *Area, singles []candidate) ([]candidate, error) {
	single, err := p.preferred(ctx, a, singles, p.onlyFeasible(a, func(t *candidate) bool { return keepsEnough(t, p.problem.Options.LeastGrain) }))
	if err != nil {
		return nil, err
	}
	if len(p.best.sample.Coatings) < 2 || single.best <= p.problem.Options.Tolerance {
		return nil, nil
	}
	var courses []layers
	for layers := 2; layers <= mostLayers; layers++ {
		orders := slices.DeleteFunc(p.orders(layers), func(o []int) bool {
			ok, _ := p.mayLie(a, o[0])
			return !ok
		})
		all, err := p.enumerate(ctx, a, orders)
		if err != nil {
			return nil, err
		}
		near := func(s, t stack) int {
			return cmp.Or(cmp.Compare(s.deltaE, t.deltaE), cmp.Compare(s.layers.coats(), t.layers.coats()))
		}
		slices.SortStableFunc(all, near)
		courses = append(courses, layersOf(all, stacksTried)...)
		all = slices.DeleteFunc(all, func(s stack) bool { return s.grain < p.problem.Options.LeastGrain })
		courses = append(courses, layersOf(all, stacksTried)...)
	}
	var once []layers
	for _, c := range courses {
		if !slices.ContainsFunc(once, c.equal) {
			once = append(once, c)
		}
	}
	return p.evaluate(ctx, a, once)
}

func layersOf(all []stack, most int) (courses []layers) {
	for _, s := range all[:min(most, len(all))] {
		courses = append(courses, s.layers)
	}
	return courses
}

// enumerate tries all stacks in these orders in the most probable world.
func (p *planner) enumerate(ctx context.Context, a *Area, orders [][]int) ([]stack, error) {
	found := make([][]stack, len(orders))
	target := p.best.target(a)
	before := p.best.baseline(a)
	if err := parallel.For(ctx, len(orders), func(i int) {
		most := min(p.problem.Options.MaxCoats, mostStackCoats)
		var lay func(b reflectances, c layers, rest []int, over bool, left int)
		lay = func(b reflectances, c layers, rest []int, over bool, left int) {
			if len(rest) == 0 {
				l := p.best.appearanceOf(b)
				found[i] = append(found[i], stack{slices.Clone(c), colour.DeltaE2000(target, l.mean), l.keeps(&before)})
				return
			}
			films := p.best.films(a, rest[0], left, over)
			for n := 1; n <= left-len(rest)+1; n++ {
				next := b.coated(&p.best.sample.Coatings[rest[0]], films[n])
				lay(next, append(c, layer{rest[0], n}), rest[1:], true, left-n)
			}
		}
		lay(p.best.initial(a), make(layers, 0, len(orders[i])), orders[i], false, most)
	}); err != nil {
		return nil, err
	}
	return slices.Concat(found...), nil
}

// orders are all orders of so many different coatings of the shelf that may lie one over another.
func (p *planner) orders(layers int) (all [][]int) {
	shelf := p.best.sample.Coatings
	var add func(order []int)
	add = func(order []int) {
		if len(order) == layers {
			all = append(all, slices.Clone(order))
			return
		}
		for k := range shelf {
			if slices.Contains(order, k) {
				continue
			}
			if n := len(order); n > 0 {
				if ok, _ := blend.MayLie(&shelf[order[n-1]], &shelf[k]); !ok {
					continue
				}
			}
			add(append(order, k))
		}
	}
	add(nil)
	return all
}
