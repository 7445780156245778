package plan

import (
	"cmp"
	"context"
	"math"
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
	plan := &Plan{by: p, first: front[0]}
	if plan.Single, err = p.singles(ctx); err != nil {
		return nil, err
	}
	closest := slices.MinFunc(front, func(x, y *candidate) int { return cmp.Compare(median(x.near), median(y.near)) })
	if plan.Choices, err = p.choices(ctx, front, closest, plan.Single); err != nil {
		return nil, err
	}
	asGood := p.asGoodAs(front[0])
	plan.others = slices.Concat(front, asGood)
	plan.AsGood, err = p.choices(ctx, asGood, closest, plan.Single)
	return plan, err
}

// choices says what candidates lay on each area and what comes of it; closest is the one that comes nearest.
func (p *planner) choices(ctx context.Context, of []*candidate, closest *candidate, single [][]Option) (all []Choice, err error) {
	nearest, _ := p.everywhere(closest)
	for _, c := range of {
		choice, err := p.choice(ctx, c, single)
		if err == nil {
			err = p.explain(ctx, choice, nearest)
		}
		if err != nil {
			return nil, err
		}
		all = append(all, *choice)
	}
	return all, nil
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
func (p *planner) choice(ctx context.Context, units *candidate, single [][]Option) (*Choice, error) {
	c, err := p.inFull(ctx, units)
	if err != nil {
		return nil, err
	}
	choice := &Choice{Worst: spread(c.worst), Grain: c.leastGrain(), Value: c.value, Areas: make([]AreaPlan, len(c.layers))}
	worst := math.Inf(-1)
	bySample := make([][][]int, len(c.layers)) // the best counts, by area, drawn sample and layer
	for g, part := range units.parts {
		counts, err := p.bestCounts(ctx, part)
		if err != nil {
			return nil, err
		}
		common := p.common(c, p.groups[g].areas)
		for at, unit := range part.areas {
			for _, i := range p.like[unit] {
				for n := range counts {
					bySample[i] = append(bySample[i], counts[n][at])
				}
				to := &choice.Areas[i]
				if *to, err = p.areaPlan(ctx, c, i, common, bySample[i]); err != nil {
					return nil, err
				}
				if err := p.walk(ctx, to, i, c.layers, p.place(single[i][0].Coating)); err != nil {
					return nil, err
				}
				choice.Coats += c.layers[i].coats()
				if to.ToTarget && to.After.Median > worst {
					worst, choice.Of = to.After.Median, [2]string{to.Name, ""}
				}
			}
		}
		pairs, err := p.pairs(ctx, c, p.groups[g].areas)
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
	return choice, p.spots(ctx, choice, c, single, bySample)
}

// spots fills in what a choice does to spots, left as they are before the coats: each gets the coats of its wood, and is to look like it.
func (p *planner) spots(ctx context.Context, choice *Choice, c *candidate, single [][]Option, bySample [][][]int) (err error) {
	for i := range choice.Areas {
		wood := p.problem.wood(i)
		if wood == None {
			continue
		}
		counts := slices.Clone(bySample[wood])
		for n := range counts {
			counts[n] = slices.Clone(counts[n])
			for l := range counts[n] {
				if c.layers[i][l].Coats != c.layers[wood][l].Coats { // given to the one and not to the other
					counts[n][l] = c.layers[i][l].Coats
				}
			}
		}
		to := &choice.Areas[i]
		if *to, err = p.areaPlan(ctx, c, i, p.best.final(&p.problem.Areas[wood], c.layers[wood]).mean, counts); err != nil {
			return err
		}
		to.PartOf = p.problem.Areas[wood].Name
		if err = p.walk(ctx, to, i, c.layers, p.place(single[i][0].Coating)); err != nil {
			return err
		}
	}
	return nil
}

// common returns the mean colour of some areas under a candidate, each counting alike, averaged in linear light in the best sample.
func (p *planner) common(c *candidate, areas []int) colour.Lab {
	var sum colour.XYZ
	share := 1 / float64(len(areas))
	for _, i := range areas {
		seen := p.best.final(&p.problem.Areas[i], c.layers[i]).mean.XYZ()
		sum.X += share * seen.X
		sum.Y += share * seen.Y
		sum.Z += share * seen.Z
	}
	return sum.Lab()
}

// areaPlan is what a candidate lays on area i, without its path; common is what areas without a target come to, bySample the best counts
// of its layers.
func (p *planner) areaPlan(ctx context.Context, c *candidate, i int, common colour.Lab, bySample [][]int) (AreaPlan, error) {
	a, ls := &p.problem.Areas[i], c.layers[i]
	to := AreaPlan{Name: a.Name, Aim: common, Grain: c.grain[i]}
	off := c.own[i]
	if wood := p.problem.wood(i); wood != None {
		var err error
		if off, err = p.apartBySample(ctx, i, wood, c.layers); err != nil {
			return to, err
		}
	} else if a.Target != None {
		end, err := p.endingOf(ctx, i, ls)
		if err != nil {
			return to, err
		}
		to.ToTarget, to.Aim, off = true, p.best.target(a), end.toTarget
		if to.Lamp, err = p.toTargetByLamp(ctx, i, ls); err != nil {
			return to, err
		}
	}
	to.Within = share(off, p.problem.Options.Tolerance)
	under := -1 // the coating that was laid last
	for l := range ls {
		best := make([]int, len(bySample))
		for n := range bySample {
			best[n] = bySample[n][l]
		}
		coating := &p.shelf()[ls[l].Coating]
		if ls[l].Coats > 0 {
			if under >= 0 {
				if do := blend.SealBetween(&p.shelf()[under], coating); !do.Empty() {
					to.Between = append(to.Between, do)
				}
			}
			under = ls[l].Coating
		}
		if r := rangeOf(best, ls[l].Coats); r[1] > 0 {
			to.Coats = append(to.Coats, CoatCount{coating.Name, ls[l].Coats, r})
			to.bestCounts = append(to.bestCounts, best)
		}
	}
	return to, nil
}

// walk fills in how an area looks after each coat of some layers and after one more, of coating next where none is laid, and where to stop.
func (p *planner) walk(ctx context.Context, to *AreaPlan, i int, on []layers, next int) error {
	a, ls := &p.problem.Areas[i], on[i]
	aim := func(m model) colour.Lab { return to.Aim }
	if wood := p.problem.wood(i); wood != None {
		aim = func(m model) colour.Lab { return m.final(&p.problem.Areas[wood], on[wood]).mean }
	} else if to.ToTarget {
		aim = func(m model) colour.Lab { return m.target(a) }
	}
	steps, err := p.steps(ctx, a, ls, next, aim)
	if err != nil {
		return err
	}
	last := len(steps) - 1
	to.Path, to.OneMore, to.StopAfter = steps[:last], steps[last], stopAfter(steps, ls.coats())
	to.Before, to.After = to.Path[0].off(), to.Path[last-1].off()
	return nil
}

// off is how far an area is from its aim at a step.
func (s *Step) off() Spread { return Spread{s.DeltaE, s.Low, s.High} }

// pairs says of every two of some areas how far apart they are before and after.
func (p *planner) pairs(ctx context.Context, c *candidate, areas []int) (pairs []Pair, err error) {
	bare := make([]layers, len(p.problem.Areas))
	for at, i := range areas {
		for _, k := range areas[:at] {
			pair := Pair{Areas: [2]string{p.problem.Areas[k].Name, p.problem.Areas[i].Name}}
			if pair.Before, err = p.apart(ctx, i, k, bare); err != nil {
				return nil, err
			}
			if pair.After, err = p.apart(ctx, i, k, c.layers); err != nil {
				return nil, err
			}
			if pair.Lamp, err = p.apartByLamp(ctx, k, i, c.layers); err != nil {
				return nil, err
			}
			pairs = append(pairs, pair)
		}
	}
	return pairs, nil
}

// apart returns how far areas i and k are apart under layers.
func (p *planner) apart(ctx context.Context, i, k int, on []layers) (Spread, error) {
	apart, err := p.apartBySample(ctx, i, k, on)
	if err != nil {
		return Spread{}, err
	}
	return spread(apart), nil
}

// apartBySample is the same in every sample.
func (p *planner) apartBySample(ctx context.Context, i, k int, on []layers) ([]float64, error) {
	x, err := p.endingOf(ctx, i, on[i])
	if err != nil {
		return nil, err
	}
	y, err := p.endingOf(ctx, k, on[k])
	if err != nil {
		return nil, err
	}
	return differences(x.seen, y.seen), nil
}

// explain says of each area of a choice whether its target can be reached and, where it cannot, why; closest are the layers of the plan
// that comes nearest. Of an area that the given layers leave out it says no why.
func (p *planner) explain(ctx context.Context, choice *Choice, closest []layers) error {
	for i := range choice.Areas {
		a, to := &p.problem.Areas[i], &choice.Areas[i]
		if !to.ToTarget {
			continue
		}
		end, err := p.endingOf(ctx, i, closest[i])
		if err != nil {
			return err
		}
		if to.Reachable = median(end.toTarget) <= p.problem.Options.Tolerance; to.Reachable || p.leftOut(i) {
			continue
		}
		to.Why = p.shortfall(a, closest[i].laid())
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
		if len(p.problem.TouchUp) < len(p.shelf()) {
			all[i] = slices.DeleteFunc(all[i], func(o Option) bool { return !p.problem.coats(p.place(o.Coating)) })
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
	most := p.further(a)
	price := make([]float64, most+1)
	for n := range price {
		price[n] = p.price(a, layerOrder{{Coating: k, Coats: Planned}}, layers{{k, n}})
	}
	deltaE, value := make([][]float64, most+1), make([]float64, most+1) // by count: of all samples, and what is minimised
	best := make([]int, len(p.many))
	for s, m := range p.many {
		aim := m.aim(a)
		for n, seen := range m.appearances(a, layers{{k, most}}) {
			d := colour.DeltaE2000(aim, seen.mean)
			deltaE[n], value[n] = append(deltaE[n], d), d+price[n]
		}
		best[s] = least(value)
	}
	for n := range value {
		value[n] = median(deltaE[n]) + price[n]
	}
	count := least(value)
	_, why := p.mayLie(a, k)
	return Option{
		CoatCount{p.shelf()[k].Name, count, rangeOf(best, count)}, p.best.final(a, layers{{k, count}}).mean, spread(deltaE[count]), why,
	}
}

// least returns the place of the first least value.
func least(x []float64) (at int) {
	for i := range x {
		if x[i] < x[at] {
			at = i
		}
	}
	return at
}

// aim returns the target of an area in a sample or, without one, the colour of the darkest area that it is to look like; for a spot that
// of its wood.
func (m model) aim(a *Area) colour.Lab {
	if i := slices.IndexFunc(m.problem.Areas, func(b Area) bool { return a.PartOf != "" && b.Name == a.PartOf }); i >= 0 {
		return m.aim(&m.problem.Areas[i])
	}
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
