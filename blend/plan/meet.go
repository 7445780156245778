package plan

import (
	"context"
	"math"
	"slices"

	"huewright/colour"
	"huewright/internal/parallel"
)

// groundSlack is how much lighter, in L*, a ground may be and still count as no lighter.
const groundSlack = 1.0

// A meeting is areas that are to meet, and the assignments found for them.
type meeting struct {
	*planner
	areas     []*Area
	darkest   int     // the area of least L*
	groundCap float64 // L* that no other area's ground should be above; see capGrounds
	before    float64 // ΔE00 of the worst pair, as they are
	found     []*assignment
}

// An assignment is the layers of one order on all areas, in the best sample.
type assignment struct {
	order layerOrder
	space *searchSpace
	picks []int   // options of space, by area
	worst float64 // ΔE00 of the worst pair
	grain float64 // the least share that an area keeps
}

// meet plans how areas come together.
func (p *planner) meet(ctx context.Context, areas []*Area) (*MeetPlan, error) {
	m := &meeting{planner: p, areas: areas}
	m.capGrounds()
	for _, order := range p.layerOrders() {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		m.search(order)
	}
	return m.plan(ctx)
}

// layerOrders are every coating by itself, and every two in an order that they may lie in.
func (p *planner) layerOrders() (all []layerOrder) {
	for n := 1; n <= 2; n++ {
		for _, order := range p.orders(n) {
			all = append(all, layerOrder(order))
		}
	}
	return all
}

// capGrounds sets darkest, and groundCap to its lightness where no coating on the shelf lightens it; +Inf otherwise.
func (m *meeting) capGrounds() {
	least := math.Inf(1)
	var start appearance
	for i, a := range m.areas {
		if seen := m.best.appearanceOf(m.best.initial(a)); seen.mean.L < least {
			m.darkest, least, start = i, seen.mean.L, seen
		}
	}
	m.groundCap = math.Inf(1)
	if !m.lightens(m.areas[m.darkest], start.mean) {
		m.groundCap = max(start.mean.L, start.light.L) + groundSlack
	}
}

// underCap reports whether the ground of area i under option c is no lighter than it should be.
func (m *meeting) underCap(s *searchSpace, i, c int) bool {
	seen := &s.appearances[i][c]
	return i == m.darkest || max(seen.mean.L, seen.light.L) <= m.groundCap
}

// search adds the best assignments of one order: for each share of grain to keep, with the grounds capped and not.
func (m *meeting) search(order layerOrder) {
	s := m.searchSpace(m.best, m.areas, order)
	m.before, _ = s.worstPair(s.nothing())
	floors := []float64{0}
	if least := m.problem.Options.LeastGrain; !math.IsNaN(s.leastGrain(s.nothing())) {
		floors = []float64{0, least, (1 + least) / 2}
	}
	for _, floor := range floors {
		for _, capped := range []bool{true, false} {
			pick := s.minimise(func(i, c int) bool {
				return m.layersMayLie(m.areas[i], s.options[c]) && s.keeps(i, c, floor) && (!capped || m.underCap(s, i, c))
			})
			if pick == nil {
				continue
			}
			worst, _ := s.worstPair(pick)
			m.found = append(m.found, &assignment{order, s, pick, worst, s.leastGrain(pick)})
		}
	}
}

func (m *meeting) capped(x *assignment) bool {
	for i, c := range x.picks {
		if !m.underCap(x.space, i, c) {
			return false
		}
	}
	return true
}

// nearest returns the nearest allowed assignment; one with capped grounds where that costs no more than a coating is worth.
func (m *meeting) nearest(allowed func(*assignment) bool) *assignment {
	free := nearestAssignment(m.found, allowed)
	capped := nearestAssignment(m.found, func(x *assignment) bool { return allowed(x) && m.capped(x) })
	if capped != nil && capped.worst <= free.worst+worthACoating {
		return capped
	}
	return free
}

// plan makes the closest, the balanced and the most grain of all assignments.
func (m *meeting) plan(ctx context.Context) (*MeetPlan, error) {
	least := m.problem.Options.LeastGrain
	closest := m.nearest(func(*assignment) bool { return true })
	plan := &MeetPlan{Before: m.before}
	add := func(kind string, x *assignment, least float64) error {
		choice, err := m.meetChoice(ctx, kind, x, least)
		plan.Choices = append(plan.Choices, choice)
		return err
	}
	if err := add(kindClosest, closest, 0); err != nil {
		return nil, err
	}
	suggested := closest
	if !math.IsNaN(m.found[0].grain) {
		suggested = m.nearest(func(x *assignment) bool { return x.grain >= least-1e-9 })
		if suggested.equal(closest) {
			plan.Choices[0].Kind = kindBalanced
		} else {
			if err := add(kindBalanced, suggested, least); err != nil {
				return nil, err
			}
			plan.Chosen = 1
		}
		if most := m.mostGrain(); most != nil && most.grain > suggested.grain+grainWorth && most.worst > suggested.worst {
			if err := add(kindMostGrain, most, most.grain); err != nil {
				return nil, err
			}
		}
	}
	plan.Together = suggested.worst <= m.problem.Options.Tolerance
	if !m.capped(suggested) {
		plan.Lightest = m.areas[m.darkest].Name
	}
	return plan, nil
}

func (x *assignment) equal(y *assignment) bool {
	return slices.Equal(x.order, y.order) && slices.Equal(x.picks, y.picks)
}

// nearestAssignment returns the allowed assignment of least worst pair, and of those as near the one that keeps most
// grain; one of two coatings must gain what a coating is worth. It is nil where none is allowed.
func nearestAssignment(all []*assignment, allowed func(*assignment) bool) (best *assignment) {
	cost := func(x *assignment) float64 {
		return max(x.worst, x.space.tolerance) + worthACoating*float64(x.coatings()-1)
	}
	for _, x := range all {
		if !allowed(x) {
			continue
		}
		if best == nil || cost(x) < cost(best)-worthACoat || cost(x) <= cost(best)+worthACoat && x.grain > best.grain {
			best = x
		}
	}
	return best
}

// coatings returns how many coatings are laid anywhere, at least 1.
func (x *assignment) coatings() int {
	n := 0
	for i := range x.order {
		if slices.ContainsFunc(x.picks, func(c int) bool { return x.space.options[c][i].Coats > 0 }) {
			n++
		}
	}
	return max(n, 1)
}

// mostGrain returns the assignment that keeps most grain of those that take half of the difference away; nil where none does.
func (m *meeting) mostGrain() (best *assignment) {
	for _, x := range m.found {
		if x.worst <= halfWay*m.before && (best == nil || x.grain > best.grain) {
			best = x
		}
	}
	return best
}

// meetChoice judges an assignment in all samples. least is the grain that its areas had to keep.
func (m *meeting) meetChoice(ctx context.Context, kind string, x *assignment, least float64) (MeetChoice, error) {
	worst, apart := make([]float64, len(m.drawn)), make([][]float64, len(m.drawn)) // of the worst pair and of every two areas, by sample
	picks := make([][]int, len(m.drawn))
	if err := parallel.For(ctx, len(m.drawn), func(i int) {
		s := m.searchSpace(m.drawn[i], m.areas, x.order)
		worst[i], _ = s.worstPair(x.picks)
		apart[i] = s.pairDifferences(x.picks)
		picks[i] = s.minimise(func(k, c int) bool { return m.layersMayLie(m.areas[k], s.options[c]) && s.keeps(k, c, least) })
		if picks[i] == nil {
			picks[i] = x.picks
		}
	}); err != nil {
		return MeetChoice{}, err
	}
	_, pair := x.space.worstPair(x.picks)
	choice := MeetChoice{
		Kind: kind, Grain: x.grain, Pair: [2]string{m.areas[pair[0]].Name, m.areas[pair[1]].Name},
		Worst: spread(x.worst, worst), Common: x.common(), Pairs: m.pairs(x, apart),
	}
	for i := range m.areas {
		area, err := m.meetArea(ctx, x, i, picks, choice.Common)
		if err != nil {
			return MeetChoice{}, err
		}
		choice.Areas = append(choice.Areas, area)
	}
	return choice, nil
}

// meetArea says what an assignment lays on area i; picks are the best by sample.
func (m *meeting) meetArea(ctx context.Context, x *assignment, i int, picks [][]int, common colour.Lab) (MeetArea, error) {
	ls := x.space.options[x.picks[i]]
	area := MeetArea{Name: m.areas[i].Name, Grain: x.space.grain[i][x.picks[i]]}
	for layer, l := range ls {
		counts := make([]int, len(picks))
		for k, pick := range picks {
			counts[k] = x.space.options[pick[i]][layer].Coats
		}
		if r := rangeOf(counts, l.Coats); r[1] > 0 {
			area.Coats = append(area.Coats, CoatCount{m.shelf()[l.Coating].Name, l.Coats, r})
			area.bestCounts = append(area.bestCounts, counts)
		}
	}
	steps, err := m.steps(ctx, m.areas[i], ls, x.order[0], func(model) colour.Lab { return common })
	if err != nil {
		return MeetArea{}, err
	}
	last := len(steps) - 1
	area.Path, area.OneMore = steps[:last], steps[last]
	area.StopAfter = stopAfter(steps, ls.coats())
	return area, nil
}

// pairs says of every two areas how far apart they are before and after; apart is after, by sample.
func (m *meeting) pairs(x *assignment, apart [][]float64) (pairs []MeetPair) {
	before, after := x.space.pairDifferences(x.space.nothing()), x.space.pairDifferences(x.picks)
	for i := range m.areas {
		for k := range i {
			n := len(pairs)
			drawn := make([]float64, len(apart))
			for s := range apart {
				drawn[s] = apart[s][n]
			}
			pairs = append(pairs, MeetPair{[2]string{m.areas[k].Name, m.areas[i].Name}, before[n], spread(after[n], drawn)})
		}
	}
	return pairs
}

// common returns the mean colour of all areas, each counting alike, averaged in linear light.
func (x *assignment) common() colour.Lab {
	var sum colour.XYZ
	share := 1 / float64(len(x.picks))
	for i, c := range x.picks {
		seen := x.space.appearances[i][c].mean.XYZ()
		sum.X += share * seen.X
		sum.Y += share * seen.Y
		sum.Z += share * seen.Z
	}
	return sum.Lab()
}
