package plan

import (
	"context"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/internal/fault"
)

// WhatIf says what comes of coats that somebody names, on is by area and undermost first, as Make says it of a plan of the same problem:
// by the same estimator in the same samples. The counts are as given, without ranges. Whether a target can be reached, and why not, stays
// what the plan found.
//
// Where the problem gives layers, on[i] has one entry for each of them, in their order. It returns a fault for more coats on an area than
// Options.MaxCoats allows, and for a coating that may not lie on what is under it.
func WhatIf(ctx context.Context, w *learn.Samples, problem Problem, planned *Plan, on [][]Layer) (*Choice, error) {
	if err := problem.check(w); err != nil {
		return nil, err
	}
	problem.Options.fill()
	p := newPlanner(w, &problem)
	given, in := make([]layers, len(on)), make([]layerOrder, len(on))
	for i := range on {
		if given[i], in[i] = on[i], problem.Layers; len(problem.Layers) == 0 {
			in[i] = nil
			for _, l := range on[i] {
				in[i] = append(in[i], ScheduledLayer{Coating: l.Coating, Coats: Planned})
			}
		}
		if err := p.checkGiven(i, in[i], given[i]); err != nil {
			return nil, err
		}
		p.like[i] = []int{i} // areas that are alike may be given other coats
	}
	var parts []*candidate
	for _, g := range p.groups {
		part, err := p.judge(ctx, g.areas, given, in, 0)
		if err != nil {
			return nil, err
		}
		part.given = true
		parts = append(parts, part)
	}
	choice, err := p.choice(ctx, p.together(parts), planned.Single)
	if err != nil {
		return nil, err
	}
	for i := range choice.Areas {
		from := &planned.Choices[0].Areas[i]
		choice.Areas[i].Reachable, choice.Areas[i].Why = from.Reachable, from.Why
	}
	return choice, nil
}

// checkGiven returns what keeps somebody from laying the layers ls on area i; nil where nothing does.
func (p *planner) checkGiven(i int, o layerOrder, ls layers) error {
	a := &p.problem.Areas[i]
	if n, most := o.plannedCoats(ls), p.problem.Options.MaxCoats; n > most {
		return fault.In(fault.New(fault.Use, "plan.what-if-many", "n", n, "most", most), fault.Place{Area: a.Name})
	}
	laid := ls.laid()
	for l := range laid {
		ok, why := p.mayLie(a, laid[l].Coating)
		if l > 0 {
			ok, why = true, fault.Note{}
			if under, over := laid[l-1].Coating, laid[l].Coating; under != over {
				ok, why = blend.MayLie(&p.shelf()[under], &p.shelf()[over])
			}
		}
		if !ok {
			return fault.In(fault.New(fault.Use, "plan.what-if-order", "why", why), fault.Place{Area: a.Name})
		}
	}
	return nil
}
