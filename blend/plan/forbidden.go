package plan

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"huewright/blend"
)

// A infeasible is an order of two coatings that would come nearer than the plan, and that the rules
// of layers do not allow.
type infeasible struct {
	Under, Over string
	Counts      [2]int  // coats of each; none of Under where it lies there already
	DeltaE      float64 // to the target, in the most probable world
	Why         string  // what would go wrong, and what can be done about it
}

// infeasibleOrders are the orders that the rules keep from coming at least a further coating's worth
// nearer than closest, the nearest first; none where closest meets the target.
func (p *planner) infeasibleOrders(ctx context.Context, a *Area, closest *candidate) (all []infeasible, err error) {
	if closest.best <= p.problem.Options.Tolerance {
		return nil, nil
	}
	shelf := p.best.sample.Coatings
	for under := range shelf {
		for over := range shelf {
			if begins, _ := p.mayLie(a, under); under == over || !begins {
				continue
			}
			ok, why := blend.MayLie(&shelf[under], &shelf[over])
			if ok {
				continue
			}
			stacks, err := p.enumerate(ctx, a, [][]int{{under, over}})
			if err != nil {
				return nil, err
			}
			if len(stacks) == 0 {
				continue
			}
			best := slices.MinFunc(stacks, func(x, y stack) int {
				return cmp.Or(cmp.Compare(x.deltaE, y.deltaE), cmp.Compare(x.layers.coats(), y.layers.coats()))
			})
			if best.deltaE <= closest.best-worthACoating {
				all = append(all, infeasible{shelf[under].Name, shelf[over].Name, [2]int{best.layers[0].count, best.layers[1].count}, best.deltaE, why})
			}
		}
	}
	for over := range shelf {
		ok, why := p.mayLie(a, over)
		if ok {
			continue
		}
		stacks, err := p.enumerate(ctx, a, [][]int{{over}})
		if err != nil {
			return nil, err
		}
		best := slices.MinFunc(stacks, func(x, y stack) int { return cmp.Compare(x.deltaE, y.deltaE) })
		if best.deltaE <= closest.best-worthACoating {
			under := a.Laid[len(a.Laid)-1].Coating
			all = append(all, infeasible{shelf[under].Name, shelf[over].Name, [2]int{0, best.layers[0].count}, best.deltaE, why})
		}
	}
	slices.SortFunc(all, func(x, y infeasible) int {
		return cmp.Or(cmp.Compare(x.DeltaE, y.DeltaE), cmp.Compare(x.Under, y.Under), cmp.Compare(x.Over, y.Over))
	})
	return all, nil
}

func (f infeasible) String() string {
	if f.Counts[0] == 0 {
		return fmt.Sprintf("%s of %s over the %s that lies there would come nearer (ΔE00 %.1f), but that does not hold: %s",
			countCoats(f.Counts[1]), f.Over, f.Under, f.DeltaE, f.Why)
	}
	return fmt.Sprintf("%s of %s and then %s of %s would come nearer (ΔE00 %.1f), but that order does not hold: %s",
		countCoats(f.Counts[0]), f.Under, countCoats(f.Counts[1]), f.Over, f.DeltaE, f.Why)
}
