package plan

import (
	"context"

	"huewright/blend/learn"
	"huewright/colour"
)

// Make finds how many coats, of which coating on the shelf, bring each area nearest to its
// target, as it will be seen; areas without a target are brought to meet one another.
//
// The nearest end in the best sample wins, but a coat more that gains no more than 0.1 ΔE00 there, or
// leads away in the mean over all samples, is not laid; coatings without a chip are counted by that
// mean. Coatings one over another, up to three, are only proposed where no single one meets the target
// and each more gains at least 1.0. Coats are whole and all of the strength the coating stands for.
//
// It returns a fault for an empty shelf, an impossible colour or impossible options.
func Make(ctx context.Context, w *learn.Samples, problem Problem) (*Plan, error) {
	if err := problem.check(w); err != nil {
		return nil, err
	}
	problem.Options.fill()
	p := newPlanner(w, &problem)
	plan := &Plan{}
	var meeting []*Area
	for i := range problem.Areas {
		a := &problem.Areas[i]
		mean := p.best.sample.Colours[a.Mean]
		if err := checkColour("plan.bad-area", a.Name, mean.Lab()); err != nil {
			return nil, err
		}
		if a.Target == None {
			meeting = append(meeting, a)
			continue
		}
		target := p.best.sample.Colours[a.Target]
		if err := checkColour("plan.bad-target", a.Name, target.Lab()); err != nil {
			return nil, err
		}
		area, err := p.area(ctx, a)
		if err != nil {
			return nil, err
		}
		plan.Areas = append(plan.Areas, area)
	}
	if len(meeting) > 0 {
		var err error
		if plan.Meet, err = p.meet(ctx, meeting); err != nil {
			return nil, err
		}
	}
	return plan, nil
}

// area plans one area for its target.
func (p *planner) area(ctx context.Context, a *Area) (AreaPlan, error) {
	all, err := p.singleCoatings(ctx, a)
	if err != nil {
		return AreaPlan{}, err
	}
	plan := AreaPlan{Name: a.Name, Target: p.best.target(a), Options: p.options(a, all)}
	stacks, err := p.stacks(ctx, a, all)
	if err != nil {
		return AreaPlan{}, err
	}
	choices, err := p.choices(ctx, a, append(all, stacks...))
	if err != nil {
		return AreaPlan{}, err
	}
	suggested, closest := &choices[0], &choices[0]
	for i := range choices {
		plan.Choices = append(plan.Choices, choices[i].Choice)
		if choices[i].Kind == kindBalanced {
			suggested = &choices[i]
		}
	}
	plan.Choice = suggested.Choice
	next := p.place(plan.Options[0].Coating)
	steps, err := p.steps(ctx, a, suggested.candidate.layers, next, func(m model) colour.Lab { return m.target(a) })
	if err != nil {
		return AreaPlan{}, err
	}
	last := len(steps) - 1
	plan.Path, plan.OneMore = steps[:last], steps[last]
	plan.Before, plan.After = plan.Path[0].DeltaE, plan.Path[last-1].DeltaE
	plan.Reachable = closest.DeltaE.Best <= p.problem.Options.Tolerance
	if plan.Reachable {
		return plan, nil
	}
	plan.Why = p.shortfall(a, closest.candidate.layers)
	if plan.infeasible, err = p.infeasibleOrders(ctx, a, closest.candidate); err != nil {
		return AreaPlan{}, err
	}
	if len(plan.infeasible) > 0 {
		plan.Why = append(plan.Why, plan.infeasible[0].note(), plan.infeasible[0].why)
	}
	return plan, nil
}
