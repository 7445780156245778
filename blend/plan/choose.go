package plan

import (
	"cmp"
	"context"
	"math"
	"slices"

	"huewright/colour"
	"huewright/internal/parallel"
	"huewright/internal/stat"
)

// Figures of the choice. Our own choice.
const (
	ordersJudged = 3    // orders of layers, by least cost in the best sample, that are judged in all samples for each floor of grain
	worthNearer  = 0.2  // ΔE00 by which a plan must be nearer than another to beat it so
	grainWorth   = 0.05 // share of the grain by which it must keep more
	asGood       = 0.3  // ΔE00 of value within which two plans are as good as one another
	mostAsGood   = 2    // plans that are shown beside one that they are as good as
)

// floors are the least shares of grain that plans are looked for with: none, and the bounds between the words for it.
var floors = []float64{0, Faint, Softened, Clear}

// Bounds of the share of the grain's contrast that is left, between the words for it. Our own choice.
const (
	Faint    = 0.25 // below, the grain is painted over
	Softened = 0.50
	Clear    = 0.75
)

// visibility are the steps of it: ΔE00 between not to be told apart and passing side by side, at which half of all people see a
// difference; passing and seen side by side, at which half of them mind it; seen at arm's length; seen across the room. The last two are
// our own choice.
//
// Source: Paravina et al. (2015), J. Esthet. Restor. Dent. 27, S1–S9, 50:50 thresholds, side by side.
var visibility = []float64{colour.Perceptible, 1.8, 4, 8}

// Visibility returns which of the five steps of visibility a difference is on, 0 for one that cannot be told apart to 4 for one that is
// seen across the room.
func Visibility(deltaE float64) int {
	step, _ := slices.BinarySearch(visibility, math.Nextafter(deltaE, math.Inf(1)))
	return step
}

// groups are the areas that are to look alike, by index.
func (p *planner) groups() (all [][]int) {
	for i := range p.problem.Areas {
		at := slices.IndexFunc(all, func(g []int) bool { return p.problem.Areas[g[0]].comparedWith(&p.problem.Areas[i]) })
		if at < 0 {
			all = append(all, []int{i})
			continue
		}
		all[at] = append(all[at], i)
	}
	return all
}

// front returns the plans that none beats in nearness, grain and coats, the one of best value first; it is never empty.
func (p *planner) front(ctx context.Context) ([]*candidate, error) {
	groups := p.groups()
	nothing := make([]*candidate, len(groups))
	on, in := p.uncoated()
	for g, group := range groups {
		var err error
		if nothing[g], err = p.judge(ctx, group, on, in, 0); err != nil {
			return nil, err
		}
	}
	none := p.together(nothing, 0)
	all := []*candidate{none}
	best := slices.Clone(nothing) // of each group
	for _, floor := range floors {
		for g := range groups {
			c, err := p.bestOf(ctx, nothing[g], floor)
			if err != nil {
				return nil, err
			}
			if c != nil { // otherwise no plan keeps so much: the one that keeps most of what was asked before stays
				best[g] = c
			}
		}
		all = append(all, p.together(best, floor))
	}
	return p.pareto(all, none), nil
}

// uncoated are the layers of all areas without any but those whose number is given, and their order.
func (p *planner) uncoated() (on []layers, in []layerOrder) {
	order := layerOrder(p.problem.Layers)
	if len(order) == 0 {
		order = layerOrder{{Coating: 0, Coats: Planned}}
	}
	for i := range p.problem.Areas {
		var ls layers
		for l := range order {
			n := 0
			if order[l].Coats != Planned && order[l].on(i) {
				n = order[l].Coats
			}
			ls = append(ls, Layer{order[l].Coating, n})
		}
		on, in = append(on, ls), append(in, order)
	}
	return on, in
}

// bestOf returns the candidate of best value on the group of areas that nothing is laid on; nil where none keeps the floor of grain.
func (p *planner) bestOf(ctx context.Context, nothing *candidate, floor float64) (best *candidate, err error) {
	group := nothing.group
	type found struct {
		order  layerOrder
		layers []layers
		cost   float64
	}
	orders := []layerOrder{p.problem.Layers}
	if len(orders[0]) == 0 {
		orders = p.searchedOrders()
	}
	spaces, err := p.spaces(ctx, group, orders)
	if err != nil {
		return nil, err
	}
	all := make([]*found, len(orders))
	if err := parallel.For(ctx, len(orders), func(n int) {
		order, s := orders[n], spaces[n]
		pick := s.minimise(func(i, c int) bool { return p.allowed(group[i], order, s.options[c]) && s.keeps(i, c, floor) })
		if pick == nil {
			return
		}
		all[n] = &found{order: order, cost: s.cost(pick)}
		laid := map[int]bool{}
		for _, c := range pick {
			all[n].layers = append(all[n].layers, s.options[c])
			for l := range order {
				if order[l].Coats == Planned && s.options[c][l].Coats > 0 {
					laid[order[l].Coating] = true
				}
			}
		}
		all[n].cost += worthACoating * float64(max(0, len(laid)-1))
	}); err != nil {
		return nil, err
	}
	all = slices.DeleteFunc(all, func(f *found) bool { return f == nil })
	slices.SortStableFunc(all, func(x, y *found) int { return cmp.Compare(x.cost, y.cost) })
	for _, f := range all[:min(ordersJudged, len(all))] {
		on, in := slices.Clone(nothing.layers), slices.Clone(nothing.orders)
		for k, i := range group {
			on[i], in[i] = f.layers[k], f.order
		}
		c, err := p.judge(ctx, group, on, in, floor)
		if err != nil {
			return nil, err
		}
		if c, err = p.refine(ctx, c); err != nil {
			return nil, err
		}
		if c.keepsFloor() && (best == nil || byValue(c, best) < 0) {
			best = c
		}
	}
	return best, nil
}

// searchedOrders are those tried where the problem gives none.
func (p *planner) searchedOrders() []layerOrder {
	if len(p.shelf()) <= tripleShelf {
		return p.searched(3)
	}
	return p.searched(2)
}

// spaces returns the search spaces of orders on a group of areas, in the best sample. They are kept, since every floor of grain asks for them.
func (p *planner) spaces(ctx context.Context, group []int, orders []layerOrder) ([]*searchSpace, error) {
	if all, known := p.searchSpaces[group[0]]; known {
		return all, nil
	}
	all := make([]*searchSpace, len(orders))
	if err := parallel.For(ctx, len(orders), func(n int) { all[n] = p.space(group, orders[n]) }); err != nil {
		return nil, err
	}
	p.searchSpaces[group[0]] = all
	return all, nil
}

func (p *planner) space(group []int, order layerOrder) *searchSpace {
	options := p.optionsOf(order)
	return p.best.newSearchSpace(p.areasOf(group), options, func(a *Area) []appearance { return p.best.finals(a, options) },
		func(a *Area, ls layers) float64 { return p.price(a, order, ls) })
}

// pareto sorts plans by preference and keeps those that none beats in nearness, grain and coats, one for each step of visibility, and none that is
// no nearer than doing nothing.
func (p *planner) pareto(all []*candidate, nothing *candidate) (kept []*candidate) {
	slices.SortStableFunc(all, p.byPreference)
	for _, c := range all {
		if !c.sameCoats(nothing) && median(c.near) >= median(nothing.near) {
			continue
		}
		if !slices.ContainsFunc(kept, func(d *candidate) bool {
			return d.sameCoats(c) || d.beats(c) || Visibility(median(d.worst)) == Visibility(median(c.worst))
		}) {
			kept = append(kept, c)
		}
	}
	return kept
}

// beats reports whether c is as near, keeps as much grain and needs no more coats than d.
func (c *candidate) beats(d *candidate) bool {
	return median(c.worst) <= median(d.worst)+worthNearer && !(c.leastGrain() < d.leastGrain()-grainWorth) && c.coats() <= d.coats()
}

// byPreference sorts candidates by value; where grain is preferred, those that keep it no worse than softened, or lay nothing, come first.
func (p *planner) byPreference(x, y *candidate) int {
	late := func(c *candidate) int {
		if p.problem.Options.PreferGrain && c.coats() > 0 && c.leastGrain() < Softened {
			return 1
		}
		return 0
	}
	return cmp.Or(cmp.Compare(late(x), late(y)), byValue(x, y))
}

// asGoodAs returns the plans that were judged and are as good as a candidate but lay other coats on one group of areas, the best first.
func (p *planner) asGoodAs(c *candidate) (all []*candidate) {
	for _, d := range p.judged {
		of := slices.Clone(c.parts)
		for g, part := range of {
			if slices.Equal(part.group, d.group) {
				of[g] = d
			}
		}
		if whole := p.together(of, c.floor); whole.value <= c.value+asGood && whole.keepsFloor() && !whole.sameCoats(c) &&
			!slices.ContainsFunc(all, whole.sameCoats) {
			all = append(all, whole)
		}
	}
	slices.SortStableFunc(all, byValue)
	return all[:min(mostAsGood, len(all))]
}

func median(x []float64) float64 { return stat.Quantile(x, 0.5) }
