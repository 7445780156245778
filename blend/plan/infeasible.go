package plan

import (
	"cmp"
	"context"
	"slices"

	"huewright/blend"
	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/parallel"
)

const (
	mostStackCoats = 12 // of all coatings of a stack together; beyond, grain and patience are gone
)

// A stack is layers of several coatings in the best sample.
type stack struct {
	layers layers
	deltaE float64
	grain  float64
}

func nearerStack(s, t stack) int {
	return cmp.Or(cmp.Compare(s.deltaE, t.deltaE), cmp.Compare(s.layers.coats(), t.layers.coats()))
}

// enumerate returns all stacks in these orders, in the best sample.
func (p *planner) enumerate(ctx context.Context, a *Area, orders [][]int) ([]stack, error) {
	found := make([][]stack, len(orders))
	target, before := p.best.target(a), p.best.baseline(a)
	if err := parallel.For(ctx, len(orders), func(i int) {
		var lay func(r reflectances, ls layers, rest []int, left int)
		lay = func(r reflectances, ls layers, rest []int, left int) {
			if len(rest) == 0 {
				seen := p.best.appearanceOf(r)
				found[i] = append(found[i], stack{slices.Clone(ls), colour.DeltaE2000(target, seen.mean), seen.keeps(&before, a)})
				return
			}
			films := p.best.films(a, rest[0], left, len(ls) > 0)
			r = p.best.ground(r, a, rest[0], len(ls) > 0)
			for n := 1; n <= left-len(rest)+1; n++ {
				lay(r.coated(&p.shelf()[rest[0]], films[n]), append(ls, Layer{rest[0], n}), rest[1:], left-n)
			}
		}
		lay(p.best.initial(a), make(layers, 0, len(orders[i])), orders[i], min(p.problem.Options.MaxCoats, mostStackCoats))
	}); err != nil {
		return nil, err
	}
	return slices.Concat(found...), nil
}

// An infeasible order of two coatings would come nearer than the plan, but the rules of layers forbid it.
type infeasible struct {
	under, over string
	counts      [2]int     // coats of each; none of under where it lies there already
	deltaE      float64    // to the target, in the best sample
	why         fault.Note // what would go wrong, and what can be done about it
}

// infeasibleOrders returns the orders that the rules forbid and that would come at least a coating's worth nearer than closest, the
// nearest first; none where closest meets the target.
func (p *planner) infeasibleOrders(ctx context.Context, a *Area, closest float64) (all []infeasible, err error) {
	if closest <= p.problem.Options.Tolerance {
		return nil, nil
	}
	shelf := p.shelf()
	try := func(under, over int, order []int, why fault.Note) error {
		if !p.problem.coats(under) || !p.problem.coats(over) {
			return nil
		}
		stacks, err := p.enumerate(ctx, a, [][]int{order})
		if err != nil || len(stacks) == 0 {
			return err
		}
		if best := slices.MinFunc(stacks, nearerStack); best.deltaE <= closest-worthACoating {
			counts := [2]int{0, best.layers[len(order)-1].Coats}
			if len(order) == 2 {
				counts[0] = best.layers[0].Coats
			}
			all = append(all, infeasible{shelf[under].Name, shelf[over].Name, counts, best.deltaE, why})
		}
		return nil
	}
	for over := range shelf {
		for under := range shelf {
			if begins, _ := p.mayLie(a, under); under == over || !begins {
				continue
			}
			if ok, why := blend.MayLie(&shelf[under], &shelf[over]); !ok {
				if err := try(under, over, []int{under, over}, why); err != nil {
					return nil, err
				}
			}
		}
		if ok, why := p.mayLie(a, over); !ok {
			if err := try(a.Laid[len(a.Laid)-1].Coating, over, []int{over}, why); err != nil {
				return nil, err
			}
		}
	}
	slices.SortFunc(all, func(x, y infeasible) int {
		return cmp.Or(cmp.Compare(x.deltaE, y.deltaE), cmp.Compare(x.under, y.under), cmp.Compare(x.over, y.over))
	})
	return all, nil
}

// note tells of the order; why it does not hold is another note.
func (f infeasible) note() fault.Note {
	if f.counts[0] == 0 {
		return fault.Say("plan.order-over-laid", "coats", f.counts[1], "over", f.over, "under", f.under, "delta", f.deltaE)
	}
	return fault.Say("plan.order", "first", f.counts[0], "under", f.under, "coats", f.counts[1], "over", f.over, "delta", f.deltaE)
}
