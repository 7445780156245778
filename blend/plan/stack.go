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

// A stacked is a stack in the most probable world.
type stacked struct {
	course layers
	deltaE float64
	grain  float64
}

// stacks tries the best stacks of two and three coatings, each of at least one coat, in orders
// that the rules of layers allow; none where a single coating meets the target with enough of
// the grain.
func (p *planner) stacks(ctx context.Context, a *Area, singles []candidate) ([]candidate, error) {
	single, err := p.preferred(ctx, a, singles, p.onlyWhatHolds(a, func(t *candidate) bool { return keepsEnough(t, p.ask.Options.LeastGrain) }))
	if err != nil {
		return nil, err
	}
	if len(p.best.world.Coatings) < 2 || single.best <= p.ask.Options.Tolerance {
		return nil, nil
	}
	var courses []layers
	for layers := 2; layers <= mostLayers; layers++ {
		orders := slices.DeleteFunc(p.orders(layers), func(o []int) bool {
			ok, _ := p.mayGoOn(a, o[0])
			return !ok
		})
		all, err := p.enumerate(ctx, a, orders)
		if err != nil {
			return nil, err
		}
		near := func(s, t stacked) int {
			return cmp.Or(cmp.Compare(s.deltaE, t.deltaE), cmp.Compare(s.course.coats(), t.course.coats()))
		}
		slices.SortStableFunc(all, near)
		courses = append(courses, coursesOf(all, stacksTried)...)
		all = slices.DeleteFunc(all, func(s stacked) bool { return s.grain < p.ask.Options.LeastGrain })
		courses = append(courses, coursesOf(all, stacksTried)...)
	}
	var once []layers
	for _, c := range courses {
		if !slices.ContainsFunc(once, c.equal) {
			once = append(once, c)
		}
	}
	return p.try(ctx, a, once)
}

func coursesOf(all []stacked, most int) (courses []layers) {
	for _, s := range all[:min(most, len(all))] {
		courses = append(courses, s.course)
	}
	return courses
}

// enumerate tries all stacks in these orders in the most probable world.
func (p *planner) enumerate(ctx context.Context, a *Area, orders [][]int) ([]stacked, error) {
	found := make([][]stacked, len(orders))
	target := p.best.target(a)
	before := p.best.baseline(a)
	if err := parallel.For(ctx, len(orders), func(i int) {
		most := min(p.ask.Options.MaxCoats, mostStackCoats)
		var lay func(b build, c layers, rest []int, over bool, left int)
		lay = func(b build, c layers, rest []int, over bool, left int) {
			if len(rest) == 0 {
				l := p.best.look(b)
				found[i] = append(found[i], stacked{slices.Clone(c), colour.DeltaE2000(target, l.mean), l.keeps(&before)})
				return
			}
			films := p.best.films(a, rest[0], left, over)
			for n := 1; n <= left-len(rest)+1; n++ {
				next := b.under(&p.best.world.Coatings[rest[0]], films[n])
				lay(next, append(c, layer{rest[0], n}), rest[1:], true, left-n)
			}
		}
		lay(p.best.start(a), make(layers, 0, len(orders[i])), orders[i], false, most)
	}); err != nil {
		return nil, err
	}
	return slices.Concat(found...), nil
}

// orders are all orders of so many different coatings of the shelf that may lie one over another.
func (p *planner) orders(layers int) (all [][]int) {
	shelf := p.best.world.Coatings
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
