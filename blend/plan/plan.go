package plan

import (
	"cmp"
	"context"
	"slices"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/internal/parallel"
)

// Make finds how many coats, of which coating on the shelf and in which order, make a piece look as it should: each area near its target,
// and areas of one target, or of none, near one another, as they will be seen.
//
// What is minimised is half of the worst difference and half of the mean over the areas of each one's own worst, in the median over the
// samples, and a price for the coats: the k-th coat of an area costs k times Options.Price, divided by the number of areas, and a second
// coating 1.0 ΔE00. So a coat that moves little is not laid. Coats are whole and all of the strength the coating stands for.
//
// It returns a fault for an empty shelf, an impossible colour or impossible options.
func Make(ctx context.Context, w *learn.Samples, problem Problem) (*Plan, error) {
	if err := problem.check(w); err != nil {
		return nil, err
	}
	problem.Options.fill()
	p := newPlanner(w, &problem)
	if err := p.checkColours(); err != nil {
		return nil, err
	}
	front, err := p.front(ctx)
	if err != nil {
		return nil, err
	}
	plan := &Plan{}
	if plan.Single, err = p.singles(ctx); err != nil {
		return nil, err
	}
	closest := slices.MinFunc(front, func(x, y *candidate) int { return cmp.Compare(median(x.near), median(y.near)) })
	tell := func(to *[]Choice, c *candidate) error {
		choice, err := p.choice(ctx, c, plan.Single)
		if err == nil {
			err = p.explain(ctx, choice, closest)
		}
		if err == nil {
			*to = append(*to, *choice)
		}
		return err
	}
	for _, c := range front {
		if err := tell(&plan.Choices, c); err != nil {
			return nil, err
		}
	}
	for _, c := range p.asGoodAs(front[0]) {
		if err := tell(&plan.AsGood, c); err != nil {
			return nil, err
		}
	}
	return plan, nil
}

// checkColours returns what is impossible about the colours of the areas and targets, or nil.
func (p *planner) checkColours() error {
	for i := range p.problem.Areas {
		a := &p.problem.Areas[i]
		mean := p.best.sample.Colours[a.Mean]
		if err := checkColour("plan.bad-area", a.Name, mean.Lab()); err != nil {
			return err
		}
		if a.Target == None {
			continue
		}
		target := p.best.sample.Colours[a.Target]
		if err := checkColour("plan.bad-target", a.Name, target.Lab()); err != nil {
			return err
		}
	}
	return nil
}

// choice says what a candidate lays on each area, and what comes of it.
func (p *planner) choice(ctx context.Context, c *candidate, single [][]Option) (*Choice, error) {
	choice := &Choice{Worst: spread(c.worst), Grain: c.leastGrain(), Value: c.value, Areas: make([]AreaPlan, len(c.layers))}
	worst := -1.0
	for _, group := range p.groups() {
		counts, err := p.bestCounts(ctx, c, group)
		if err != nil {
			return nil, err
		}
		common, err := p.common(ctx, c, group)
		if err != nil {
			return nil, err
		}
		for at, i := range group {
			bySample := make([][]int, len(counts))
			for n := range counts {
				bySample[n] = counts[n][at]
			}
			if err := p.areaPlan(ctx, &choice.Areas[i], c, i, common, bySample, single[i]); err != nil {
				return nil, err
			}
			choice.Coats += c.layers[i].coats()
			if own := median(c.own[i]); choice.Areas[i].ToTarget && choice.Areas[i].After.Median >= worst && own <= choice.Areas[i].After.Median {
				worst, choice.Of = choice.Areas[i].After.Median, [2]string{choice.Areas[i].Name, ""}
			}
		}
		pairs, err := p.pairs(ctx, c, group)
		if err != nil {
			return nil, err
		}
		for _, pair := range pairs {
			if pair.After.Median > worst {
				worst, choice.Of = pair.After.Median, pair.Areas
			}
		}
		choice.Pairs = append(choice.Pairs, pairs...)
	}
	return choice, nil
}

// common returns the mean colour of a group of areas under a candidate, each counting alike, averaged in linear light in the best sample.
func (p *planner) common(_ context.Context, c *candidate, group []int) (colour.Lab, error) {
	var sum colour.XYZ
	share := 1 / float64(len(group))
	for _, i := range group {
		seen := p.best.final(&p.problem.Areas[i], c.layers[i]).mean.XYZ()
		sum.X += share * seen.X
		sum.Y += share * seen.Y
		sum.Z += share * seen.Z
	}
	return sum.Lab(), nil
}

// areaPlan fills in what a candidate lays on area i; bySample are the best counts of its layers.
func (p *planner) areaPlan(ctx context.Context, to *AreaPlan, c *candidate, i int, common colour.Lab, bySample [][]int, single []Option) error {
	a, ls := &p.problem.Areas[i], c.layers[i]
	aim := func(model) colour.Lab { return common }
	*to = AreaPlan{Name: a.Name, Aim: common, Grain: c.grain[i]}
	if a.Target != None {
		aim = func(m model) colour.Lab { return m.target(a) }
		to.ToTarget, to.Aim = true, p.best.target(a)
	}
	off := c.own[i]
	if a.Target != None {
		end, err := p.endingOf(ctx, i, c.layers[i])
		if err != nil {
			return err
		}
		off = end.toTarget
	}
	for _, d := range off {
		if d <= p.problem.Options.Tolerance {
			to.Within += 1 / float64(len(off))
		}
	}
	for l := range ls {
		best := make([]int, len(bySample))
		for n := range bySample {
			best[n] = bySample[n][l]
		}
		r := rangeOf(best, ls[l].Coats)
		if r[1] == 0 {
			continue
		}
		if n := len(to.Coats); n > 0 && ls[l].Coats > 0 && to.Coats[n-1].Count > 0 {
			if do := blend.SealBetween(&p.shelf()[p.place(to.Coats[n-1].Coating)], &p.shelf()[ls[l].Coating]); !do.Empty() {
				to.Between = append(to.Between, do)
			}
		}
		to.Coats = append(to.Coats, CoatCount{p.shelf()[ls[l].Coating].Name, ls[l].Coats, r})
		to.bestCounts = append(to.bestCounts, best)
	}
	next := p.place(single[0].Coating)
	steps, err := p.steps(ctx, a, ls, next, aim)
	if err != nil {
		return err
	}
	last := len(steps) - 1
	to.Path, to.OneMore, to.StopAfter = steps[:last], steps[last], stopAfter(steps, ls.coats())
	first, end := to.Path[0], to.Path[last-1]
	to.Before, to.After = Spread{first.DeltaE, first.Low, first.High}, Spread{end.DeltaE, end.Low, end.High}
	return nil
}

// pairs says of every two areas of a group how far apart they are before and after.
func (p *planner) pairs(ctx context.Context, c *candidate, group []int) (pairs []Pair, err error) {
	none, _ := p.uncoated()
	for at, i := range group {
		for _, k := range group[:at] {
			pair := Pair{Areas: [2]string{p.problem.Areas[k].Name, p.problem.Areas[i].Name}}
			for to, on := range map[*Spread][]layers{&pair.Before: none, &pair.After: c.layers} {
				x, err := p.endingOf(ctx, i, on[i])
				if err != nil {
					return nil, err
				}
				y, err := p.endingOf(ctx, k, on[k])
				if err != nil {
					return nil, err
				}
				apart := make([]float64, len(p.many))
				for n := range apart {
					apart[n] = colour.DeltaE2000(x.seen[n], y.seen[n])
				}
				*to = spread(apart)
			}
			pairs = append(pairs, pair)
		}
	}
	return pairs, nil
}

// explain says of each area of a choice whether its target can be reached and, where it cannot, why; closest is the plan that comes nearest.
func (p *planner) explain(ctx context.Context, choice *Choice, closest *candidate) error {
	for i := range choice.Areas {
		a, to := &p.problem.Areas[i], &choice.Areas[i]
		if !to.ToTarget {
			continue
		}
		end, err := p.endingOf(ctx, i, closest.layers[i])
		if err != nil {
			return err
		}
		if to.Reachable = median(end.toTarget) <= p.problem.Options.Tolerance; to.Reachable {
			continue
		}
		to.Why = p.shortfall(a, closest.layers[i].laid())
		if to.infeasible, err = p.infeasibleOrders(ctx, a, median(end.toTarget)); err != nil {
			return err
		}
		if len(to.infeasible) > 0 {
			to.Why = append(to.Why, to.infeasible[0].note(), to.infeasible[0].why)
		}
	}
	return nil
}

// singles returns the best of every coating by itself, by area.
func (p *planner) singles(ctx context.Context) (all [][]Option, err error) {
	all = make([][]Option, len(p.problem.Areas))
	for i := range all {
		all[i] = make([]Option, len(p.shelf()))
		a := &p.problem.Areas[i]
		if err := parallel.For(ctx, len(p.shelf()), func(k int) { all[i][k] = p.single(a, k) }); err != nil {
			return nil, err
		}
		slices.SortStableFunc(all[i], func(x, y Option) int {
			return cmp.Or(cmp.Compare(min(1, len(x.Conflict.Code)), min(1, len(y.Conflict.Code))), cmp.Compare(x.DeltaE.Median, y.DeltaE.Median),
				cmp.Compare(x.Coating, y.Coating))
		})
	}
	return all, nil
}

// single returns the best that coating k can do on an area by itself, towards its target or, without one, the darkest area that it is to
// look like.
func (p *planner) single(a *Area, k int) Option {
	most := layers{{k, p.problem.Options.MaxCoats}}
	deltaE := make([][]float64, p.problem.Options.MaxCoats+1)
	best := make([]int, len(p.drawn))
	for s, m := range p.drawn {
		aim := m.aim(a)
		least := 0.0
		for n, seen := range m.appearances(a, most) {
			d := colour.DeltaE2000(aim, seen.mean)
			deltaE[n] = append(deltaE[n], d)
			if cost := d + p.price(a, layerOrder{{Coating: k, Coats: Planned}}, layers{{k, n}}); n == 0 || cost < least {
				best[s], least = n, cost
			}
		}
	}
	count, least := 0, 0.0
	for n := range deltaE {
		if cost := median(deltaE[n]) + p.price(a, layerOrder{{Coating: k, Coats: Planned}}, layers{{k, n}}); n == 0 || cost < least {
			count, least = n, cost
		}
	}
	_, why := p.mayLie(a, k)
	return Option{
		CoatCount{p.shelf()[k].Name, count, rangeOf(best, count)}, p.best.final(a, layers{{k, count}}).mean, spread(deltaE[count]), why,
	}
}

// aim returns the target of an area in a sample or, without one, the colour of the darkest area that it is to look like.
func (m model) aim(a *Area) colour.Lab {
	if a.Target != None {
		return m.target(a)
	}
	var darkest colour.Lab
	for i := range m.problem.Areas {
		b := &m.problem.Areas[i]
		if !a.comparedWith(b) {
			continue
		}
		if seen := m.appearanceOf(m.initial(b)).mean; darkest == (colour.Lab{}) || seen.L < darkest.L {
			darkest = seen
		}
	}
	return darkest
}
