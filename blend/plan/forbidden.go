package plan

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"huewright/blend"
)

// A Infeasible is an order of two coatings that would come nearer than the plan, and that the rules
// of layers do not allow.
type Infeasible struct {
	Under, Over string
	Counts      [2]int  // coats of each; none of Under where it lies there already
	DeltaE      float64 // to the target, in the most probable world
	Why         string  // what would go wrong, and what can be done about it
}

// forbidden are the orders that the rules keep from coming at least a further coating's worth
// nearer than closest, the nearest first; none where closest meets the target.
func (p *planner) forbidden(ctx context.Context, a *Area, closest *candidate) (all []Infeasible, err error) {
	if closest.best <= p.ask.Options.Tolerance {
		return nil, nil
	}
	shelf := p.best.world.Coatings
	for under := range shelf {
		for over := range shelf {
			if begins, _ := p.mayGoOn(a, under); under == over || !begins {
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
			best := slices.MinFunc(stacks, func(x, y stacked) int {
				return cmp.Or(cmp.Compare(x.deltaE, y.deltaE), cmp.Compare(x.course.coats(), y.course.coats()))
			})
			if best.deltaE <= closest.best-stackGain {
				all = append(all, Infeasible{shelf[under].Name, shelf[over].Name, [2]int{best.course[0].count, best.course[1].count}, best.deltaE, why})
			}
		}
	}
	for over := range shelf {
		ok, why := p.mayGoOn(a, over)
		if ok {
			continue
		}
		stacks, err := p.enumerate(ctx, a, [][]int{{over}})
		if err != nil {
			return nil, err
		}
		best := slices.MinFunc(stacks, func(x, y stacked) int { return cmp.Compare(x.deltaE, y.deltaE) })
		if best.deltaE <= closest.best-stackGain {
			under := a.Laid[len(a.Laid)-1].Coating
			all = append(all, Infeasible{shelf[under].Name, shelf[over].Name, [2]int{0, best.course[0].count}, best.deltaE, why})
		}
	}
	slices.SortFunc(all, func(x, y Infeasible) int {
		return cmp.Or(cmp.Compare(x.DeltaE, y.DeltaE), cmp.Compare(x.Under, y.Under), cmp.Compare(x.Over, y.Over))
	})
	return all, nil
}

func (f Infeasible) String() string {
	if f.Counts[0] == 0 {
		return fmt.Sprintf("%s of %s over the %s that lies there would come nearer (ΔE00 %.1f), but that does not hold: %s",
			countCoats(f.Counts[1]), f.Over, f.Under, f.DeltaE, f.Why)
	}
	return fmt.Sprintf("%s of %s and then %s of %s would come nearer (ΔE00 %.1f), but that order does not hold: %s",
		countCoats(f.Counts[0]), f.Under, countCoats(f.Counts[1]), f.Over, f.DeltaE, f.Why)
}
