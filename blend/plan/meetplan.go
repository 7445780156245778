package plan

import (
	"context"
	"math"
	"slices"

	"huewright/colour"
	"huewright/internal/parallel"
	"huewright/internal/stat"
)

// An assignment is the courses of one scheme on all areas, in the most probable world.
type assignment struct {
	order layerOrder
	space *searchSpace
	picks []int // courses, by area
	worst float64
	grain float64
}

// meet plans how the areas of those places come together.
func (p *planner) meet(ctx context.Context, places []int) (*MeetPlan, error) {
	areas := make([]*Area, len(places))
	for i, at := range places {
		areas[i] = &p.problem.Areas[at]
	}
	var all []*assignment
	plan := &MeetPlan{}
	cap := p.groundCap(areas)
	for _, s := range p.layerOrders() {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		m := p.searchSpace(p.best, areas, s)
		plan.Before, _ = m.worstPair(make([]int, len(areas)))
		for _, least := range p.grainFloors(m) {
			for _, lid := range []float64{cap, math.Inf(1)} {
				enough := func(i, c int) bool {
					return p.layersMayLie(areas[i], m.options[c]) && !(m.grain[i][c] < least-1e-9) && (m.groundLightness(i, c) <= lid || i == p.darkest(areas))
				}
				if at := m.minimise(enough); at != nil {
					e := &assignment{order: s, space: m, picks: at, grain: m.leastGrain(at)}
					e.worst, _ = m.worstPair(at)
					all = append(all, e)
				}
			}
		}
	}
	if err := p.chooseAssignments(ctx, plan, areas, all, cap); err != nil {
		return nil, err
	}
	return plan, nil
}

// layerOrders are every coating by itself, and every two in an order that they may lie in.
func (p *planner) layerOrders() (all []layerOrder) {
	for layers := 1; layers <= 2; layers++ {
		for _, o := range p.orders(layers) {
			all = append(all, layerOrder(o))
		}
	}
	return all
}

// grainFloors are the shares of grain for which meetings are sought: none, and steps from there to
// all of it.
func (p *planner) grainFloors(m *searchSpace) []float64 {
	if math.IsNaN(m.leastGrain(make([]int, len(m.appearances)))) {
		return []float64{0}
	}
	return []float64{0, p.problem.Options.LeastGrain, (1 + p.problem.Options.LeastGrain) / 2}
}

func (p *planner) darkest(areas []*Area) (darkest int) {
	least := math.Inf(1)
	for i, a := range areas {
		if l := p.best.appearanceOf(p.best.initial(a)).mean.L; l < least {
			darkest, least = i, l
		}
	}
	return darkest
}

// groundSlack is how much lighter, in L*, a ground may be and still count as no lighter.
const groundSlack = 1.0

// groundCap is the lightness that no area's ground should be above: that of the darkest area, where
// no coating on the shelf lightens it; +Inf otherwise.
func (p *planner) groundCap(areas []*Area) float64 {
	a := areas[p.darkest(areas)]
	start := p.best.appearanceOf(p.best.initial(a))
	if p.lightens(a, start.mean) {
		return math.Inf(1)
	}
	return max(start.mean.L, start.light.L) + groundSlack
}

func (m *searchSpace) groundLightness(area, c int) float64 {
	return max(m.appearances[area][c].mean.L, m.appearances[area][c].light.L)
}

// chooseAssignments makes the closest, the balanced and the most grain of all encounters.
func (p *planner) chooseAssignments(ctx context.Context, plan *MeetPlan, areas []*Area, all []*assignment, cap float64) error {
	least := p.problem.Options.LeastGrain
	// The lid on grounds is kept where it costs little.
	lidded := func(e *assignment) bool {
		for i, c := range e.picks {
			if i != p.darkest(areas) && e.space.groundLightness(i, c) > cap {
				return false
			}
		}
		return true
	}
	pick := func(allowed func(*assignment) bool) *assignment {
		free := nearestAssignment(all, allowed)
		held := nearestAssignment(all, func(e *assignment) bool { return allowed(e) && lidded(e) })
		if held != nil && held.worst <= free.worst+worthACoating {
			return held
		}
		return free
	}
	known := !math.IsNaN(all[0].grain)
	closest := pick(func(*assignment) bool { return true })
	choose := func(kind string, e *assignment, least float64) error {
		choice, err := p.meetChoice(ctx, kind, areas, e, least)
		if err != nil {
			return err
		}
		plan.Choices = append(plan.Choices, choice)
		return nil
	}
	if err := choose(Closest, closest, 0); err != nil {
		return err
	}
	chosen := closest
	if known {
		balanced := pick(func(e *assignment) bool { return e.grain >= least-1e-9 })
		if balanced.equal(closest) {
			plan.Choices[0].Kind = Balanced
		} else {
			if err := choose(Balanced, balanced, least); err != nil {
				return err
			}
			plan.Chosen = 1
		}
		chosen = balanced
		if most := p.mostGrain(plan, all); most != nil && most.grain > balanced.grain+grainWorth && most.worst > balanced.worst {
			if err := choose(MostGrain, most, most.grain); err != nil {
				return err
			}
		}
	}
	plan.Together = chosen.worst <= p.problem.Options.Tolerance
	if !lidded(chosen) {
		plan.Lightest = areas[p.darkest(areas)].Name
	}
	return nil
}

func (e *assignment) equal(f *assignment) bool {
	return slices.Equal(e.order, f.order) && slices.Equal(e.picks, f.picks)
}

// nearestAssignment is the encounter of least worst pair, and of those as near the one that keeps most
// grain; one of two coatings must gain what a further coating is worth. It is nil when none is
// allowed.
func nearestAssignment(all []*assignment, allowed func(*assignment) bool) (best *assignment) {
	cost := func(e *assignment) float64 {
		return max(e.worst, e.space.tolerance) + worthACoating*float64(e.coatings()-1)
	}
	for _, e := range all {
		if !allowed(e) {
			continue
		}
		if best == nil || cost(e) < cost(best)-worthACoat || cost(e) <= cost(best)+worthACoat && e.grain > best.grain {
			best = e
		}
	}
	return best
}

// coatings is how many coatings are laid anywhere, at least 1.
func (e *assignment) coatings() int {
	laid := make([]bool, len(e.order))
	for _, c := range e.picks {
		for i, l := range e.space.options[c] {
			laid[i] = laid[i] || l.count > 0
		}
	}
	n := 0
	for _, is := range laid {
		if is {
			n++
		}
	}
	return max(n, 1)
}

// mostGrain is the encounter that keeps most grain of those that take half of the difference away.
func (p *planner) mostGrain(plan *MeetPlan, all []*assignment) (best *assignment) {
	for _, e := range all {
		if e.worst <= halfWay*plan.Before && (best == nil || e.grain > best.grain) {
			best = e
		}
	}
	return best
}

// meetChoice tries an encounter in all worlds. least is the grain that its areas had to keep.
func (p *planner) meetChoice(ctx context.Context, kind string, areas []*Area, e *assignment, least float64) (MeetChoice, error) {
	worst := make([]float64, len(p.drawn))
	bests := make([][]int, len(p.drawn))
	apart := make([][]float64, len(p.drawn)) // every two areas, by world
	if err := parallel.For(ctx, len(p.drawn), func(w int) {
		m := p.searchSpace(p.drawn[w], areas, e.order)
		worst[w], _ = m.worstPair(e.picks)
		apart[w] = m.pairDifferences(e.picks)
		bests[w] = m.minimise(func(i, c int) bool { return p.layersMayLie(areas[i], m.options[c]) && !(m.grain[i][c] < least-1e-9) })
		if bests[w] == nil {
			bests[w] = e.picks
		}
	}); err != nil {
		return MeetChoice{}, err
	}
	_, pair := e.space.worstPair(e.picks)
	choice := MeetChoice{
		Kind: kind, Grain: e.grain, Pair: [2]string{areas[pair[0]].Name, areas[pair[1]].Name},
		Worst:  Spread{e.worst, stat.Quantile(worst, 0.1), stat.Quantile(worst, 0.9)},
		Common: e.common(),
		Pairs:  pairsOf(areas, e.space.pairDifferences(make([]int, len(areas))), e.space.pairDifferences(e.picks), apart),
	}
	for i, a := range areas {
		c := e.space.options[e.picks[i]]
		area := MeetArea{Name: a.Name, Grain: e.space.grain[i][e.picks[i]]}
		for layer, l := range c {
			counts := make([]int, len(bests))
			for w, at := range bests {
				counts[w] = e.space.options[at[i]][layer].count
			}
			if r := rangeOf(counts, l.count); r[1] > 0 {
				area.Coats = append(area.Coats, CoatCount{p.best.sample.Coatings[l.coating].Name, l.count, r})
				area.bestCounts = append(area.bestCounts, counts)
			}
		}
		steps, err := p.steps(ctx, a, c, e.order[0], func(model) colour.Lab { return choice.Common })
		if err != nil {
			return MeetChoice{}, err
		}
		last := len(steps) - 1
		area.Path, area.OneMore = steps[:last], steps[last]
		area.StopAfter = stopAfter(steps, c.coats())
		choice.Areas = append(choice.Areas, area)
	}
	return choice, nil
}

// common is the mean colour of all areas, each counting alike, averaged as light.
func (e *assignment) common() colour.Lab {
	var sum colour.XYZ
	for i, c := range e.picks {
		x := e.space.appearances[i][c].mean.XYZ()
		share := 1 / float64(len(e.picks))
		sum.X += share * x.X
		sum.Y += share * x.Y
		sum.Z += share * x.Z
	}
	return sum.Lab()
}
