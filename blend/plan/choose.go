package plan

import (
	"cmp"
	"context"
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
func Visibility(deltaE float64) (step int) {
	for step < len(visibility) && deltaE >= visibility[step] {
		step++
	}
	return step
}

// front returns the plans that none beats in nearness, grain and coats, the one of best value first; it is never empty.
func (p *planner) front(ctx context.Context) ([]*candidate, error) {
	nothing := make([]*candidate, len(p.groups))
	on, in := p.uncoated()
	for g := range p.groups {
		var err error
		if nothing[g], err = p.judge(ctx, p.groups[g].units, on, in, 0); err != nil {
			return nil, err
		}
	}
	none := p.together(nothing)
	all := []*candidate{none}
	best := slices.Clone(nothing) // of each group
	for _, floor := range floors {
		for g := range p.groups {
			c, err := p.bestOf(ctx, p.groups[g], nothing[g], floor)
			if err != nil {
				return nil, err
			}
			if c != nil { // otherwise no plan keeps so much: the one that keeps most of what was asked before stays
				best[g] = c
			}
		}
		all = append(all, p.together(best))
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

// bestOf returns the candidate of best value on a group, of which nothing lays no coat; nil where none keeps the floor of grain.
func (p *planner) bestOf(ctx context.Context, g *group, nothing *candidate, floor float64) (best *candidate, err error) {
	type found struct {
		on   []layers
		in   []layerOrder
		cost float64
	}
	orders := p.ordersTried()
	spaces, err := p.spacesOf(ctx, g, orders)
	if err != nil {
		return nil, err
	}
	all := make([]*found, len(orders))
	if err := parallel.For(ctx, len(orders), func(n int) {
		order, s := orders[n], spaces[n]
		pick := s.minimise(func(i, c int) bool { return p.allowed(g.units[i], order, s.options[c]) && s.keeps(i, c, floor) })
		if pick == nil {
			return
		}
		f := &found{on: slices.Clone(nothing.layers), in: slices.Clone(nothing.orders)}
		for k, i := range g.units {
			f.on[i], f.in[i] = s.options[pick[k]], order
		}
		f.cost = s.cost(pick) + priceOfCoatings(g.units, f.on, f.in)
		all[n] = f
	}); err != nil {
		return nil, err
	}
	all = slices.DeleteFunc(all, func(f *found) bool { return f == nil })
	slices.SortStableFunc(all, func(x, y *found) int { return cmp.Compare(x.cost, y.cost) })
	for _, f := range all[:min(ordersJudged, len(all))] {
		c, err := p.judge(ctx, g.units, f.on, f.in, floor)
		if err != nil {
			return nil, err
		}
		p.judged = append(p.judged, c)
		if c, err = p.refine(ctx, c); err != nil {
			return nil, err
		}
		if c.keepsFloor() && (best == nil || byValue(c, best) < 0) {
			best = c
		}
	}
	return best, nil
}

// ordersTried are the order that the problem gives or, without one, those that are searched.
func (p *planner) ordersTried() []layerOrder {
	switch {
	case len(p.problem.Layers) > 0:
		return []layerOrder{p.problem.Layers}
	case len(p.shelf()) <= tripleShelf:
		return p.searched(3)
	}
	return p.searched(2)
}

// spacesOf returns the search spaces of orders on the units of a group, in the best sample. They are kept, since every floor of grain
// asks for them.
func (p *planner) spacesOf(ctx context.Context, g *group, orders []layerOrder) ([]*searchSpace, error) {
	if all, known := p.spaces[g]; known {
		return all, nil
	}
	all := make([]*searchSpace, len(orders))
	if err := parallel.For(ctx, len(orders), func(n int) {
		all[n] = p.spaceOf(p.best, g.units, orders[n], p.optionsOf(orders[n], g.units))
	}); err != nil {
		return nil, err
	}
	p.spaces[g] = all
	return all, nil
}

// spaceOf is the search space of some counts of an order on units, in one sample.
func (p *planner) spaceOf(m model, units []int, order layerOrder, options []layers) *searchSpace {
	s := m.newSearchSpace(p.areasOf(units), options, func(a *Area) []appearance { return m.finals(a, options) },
		func(a *Area, ls layers) float64 { return p.price(a, order, ls) })
	for i, unit := range units {
		s.weight[i] = p.weight(unit)
	}
	return s
}

// pareto sorts plans by preference and keeps those that none beats in nearness, grain and coats, one for each step of visibility, and none
// that is no nearer than doing nothing.
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

// asGoodAs returns the plans that were judged and are as good as a candidate but lay other coats on one group, the best first.
func (p *planner) asGoodAs(c *candidate) (all []*candidate) {
	for _, d := range p.judged {
		of := slices.Clone(c.parts)
		for g, part := range of {
			if slices.Equal(part.areas, d.areas) && part.floor == d.floor {
				of[g] = d
			}
		}
		if whole := p.together(of); d.keepsFloor() && whole.value <= c.value+asGood && !whole.sameCoats(c) &&
			!slices.ContainsFunc(all, whole.sameCoats) {
			all = append(all, whole)
		}
	}
	slices.SortStableFunc(all, byValue)
	return all[:min(mostAsGood, len(all))]
}

func median(x []float64) float64 { return stat.Quantile(x, 0.5) }

// share returns the share of figures that are no more than most.
func share(figures []float64, most float64) (within float64) {
	for _, x := range figures {
		if x <= most {
			within += 1 / float64(len(figures))
		}
	}
	return within
}
