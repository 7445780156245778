package plan

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"huewright/colour"
	"huewright/internal/parallel"
	"huewright/internal/stat"
)

// A candidate is what may be laid on a group of areas that are to look alike, or on all areas of a problem, judged in all samples.
type candidate struct {
	group  []int        // the areas that it is judged on
	parts  []*candidate // of a candidate of all areas: those of the groups
	layers []layers     // by area
	orders []layerOrder // by area: what its layers were chosen from
	floor  float64      // least share of grain that every area was to keep
	near   []float64    // half of the worst difference and half of the mean of each area's own worst, by sample
	worst  []float64    // the largest difference, by sample
	own    [][]float64  // each area's largest difference, by area and sample; nil outside the group
	grain  []float64    // share kept, by area: the median over the samples; NaN where there is none
	price  float64      // ΔE00 that its coats and coatings must gain
	value  float64      // median of near, and the price: what is minimised
}

// coats returns how many coats a candidate lays in all.
func (c *candidate) coats() (n int) {
	for _, i := range c.group {
		n += c.orders[i].plannedCoats(c.layers[i])
	}
	return n
}

// leastGrain returns the least share that an area keeps; NaN where none has any.
func (c *candidate) leastGrain() float64 {
	least := math.NaN()
	for _, i := range c.group {
		if g := c.grain[i]; !math.IsNaN(g) && !(g >= least) {
			least = g
		}
	}
	return least
}

func (c *candidate) sameCoats(d *candidate) bool {
	return slices.EqualFunc(c.layers, d.layers, func(x, y layers) bool { return x.laid().equal(y.laid()) })
}

// An ending is how an area ends under some layers in all samples. It is kept for as long as a problem is solved.
type ending struct {
	seen     []colour.Lab // by sample
	toTarget []float64    // ΔE00, by sample; nil for an area without a target
	grain    float64      // median share kept; NaN where there is none
}

// endingOf returns how area i ends under layers.
func (p *planner) endingOf(ctx context.Context, i int, ls layers) (*ending, error) {
	key := fmt.Sprint(i, ls.laid())
	if e, known := p.endings[key]; known {
		return e, nil
	}
	a := &p.problem.Areas[i]
	e := &ending{seen: make([]colour.Lab, len(p.many))}
	if a.Target != None {
		e.toTarget = make([]float64, len(p.many))
	}
	grain := make([]float64, len(p.many))
	if err := parallel.For(ctx, len(p.many), func(n int) {
		m := p.many[n]
		seen, before := m.final(a, ls), m.baseline(a)
		e.seen[n], grain[n] = seen.mean, seen.keeps(&before, a)
		if a.Target != None {
			e.toTarget[n] = colour.DeltaE2000(m.target(a), seen.mean)
		}
	}); err != nil {
		return nil, err
	}
	e.grain = stat.Quantile(grain, 0.5)
	p.endings[key] = e
	return e, nil
}

// judge works out what layers come to on a group of areas.
func (p *planner) judge(ctx context.Context, group []int, on []layers, orders []layerOrder, floor float64) (*candidate, error) {
	c := &candidate{group: group, layers: on, orders: orders, floor: floor, own: make([][]float64, len(on)), grain: make([]float64, len(on))}
	ends := make([]*ending, len(on))
	var laid []int
	for _, i := range group {
		ls := on[i]
		var err error
		if ends[i], err = p.endingOf(ctx, i, ls); err != nil {
			return nil, err
		}
		c.own[i], c.grain[i] = make([]float64, len(p.many)), ends[i].grain
		c.price += p.price(&p.problem.Areas[i], orders[i], ls) / float64(len(group))
		for l := range orders[i] {
			if k := ls[l].Coating; orders[i][l].Coats == Planned && ls[l].Coats > 0 && !slices.Contains(laid, k) {
				laid = append(laid, k)
			}
		}
	}
	c.price += worthACoating * float64(max(0, len(laid)-1))
	c.near, c.worst = make([]float64, len(p.many)), make([]float64, len(p.many))
	if err := parallel.For(ctx, len(p.many), func(n int) {
		sum := 0.0
		for _, i := range group {
			own := 0.0
			if ends[i].toTarget != nil {
				own = ends[i].toTarget[n]
			}
			for _, k := range group {
				if k != i {
					own = max(own, colour.DeltaE2000(ends[i].seen[n], ends[k].seen[n]))
				}
			}
			c.own[i][n] = own
			c.worst[n], sum = max(c.worst[n], own), sum+own
		}
		c.near[n] = (c.worst[n] + sum/float64(len(group))) / 2
	}); err != nil {
		return nil, err
	}
	c.value = median(c.near) + c.price
	return c, nil
}

// together is one candidate of all areas, made of one for each group: nearness and price are means over the areas.
func (p *planner) together(all []*candidate, floor float64) *candidate {
	areas := len(p.problem.Areas)
	c := &candidate{parts: slices.Clone(all), floor: floor, layers: make([]layers, areas), orders: make([]layerOrder, areas), own: make([][]float64, areas),
		grain: make([]float64, areas), near: make([]float64, len(p.many)), worst: make([]float64, len(p.many))}
	for _, g := range all {
		share := float64(len(g.group)) / float64(areas)
		c.price += share * g.price
		for _, i := range g.group {
			c.group = append(c.group, i)
			c.layers[i], c.orders[i], c.own[i], c.grain[i] = g.layers[i], g.orders[i], g.own[i], g.grain[i]
		}
		for n := range c.near {
			c.near[n] += share * g.near[n]
			c.worst[n] = max(c.worst[n], g.worst[n])
		}
	}
	c.value = median(c.near) + c.price
	return c
}

// worthACoating is the ΔE00 that a further coating must gain, since it costs another mix and more risk. Our own choice.
const worthACoating = 1.0

// price returns the ΔE00 that the planned coats of an option must gain on one area: the k-th coat of a coating there costs k times
// Options.Price, those that lie there counted, since each is a day's wait and cannot be taken off again.
func (p *planner) price(a *Area, o layerOrder, ls layers) (sum float64) {
	covered := false
	for l := range ls {
		if n := float64(ls[l].Coats); n > 0 && o[l].Coats == Planned {
			has := 0.0
			if !covered {
				has = float64(a.has(ls[l].Coating))
			}
			sum += n * (2*has + n + 1) / 2
		}
		covered = covered || ls[l].Coats > 0
	}
	return p.problem.Options.Price * sum
}

// refine moves to the best neighbour, with a coat more or less of a layer on one area or on all of a group, until none is better.
func (p *planner) refine(ctx context.Context, c *candidate) (*candidate, error) {
	for {
		best := c
		for _, on := range p.neighbours(c) {
			n, err := p.judge(ctx, c.group, on, c.orders, c.floor)
			if err != nil {
				return nil, err
			}
			p.judged = append(p.judged, n)
			if n.keepsFloor() && n.value < best.value-1e-9 {
				best = n
			}
		}
		if best == c {
			return c, nil
		}
		c = best
	}
}

// keepsFloor reports whether every area keeps the grain that was asked for, has none to keep, or gets no coat: coats that hide more
// already cannot be taken off.
func (c *candidate) keepsFloor() bool {
	return !slices.ContainsFunc(c.group, func(i int) bool {
		return c.grain[i] < c.floor-1e-9 && c.orders[i].plannedCoats(c.layers[i]) > 0
	})
}

// neighbours are the layers of all areas with one coat more or less, on one area of a group or on all of it.
func (p *planner) neighbours(c *candidate) (all [][]layers) {
	group := c.group
	order := c.orders[group[0]]
	change := func(areas []int, l, by int) {
		on := slices.Clone(c.layers)
		for _, i := range areas {
			if !order[l].on(i) {
				continue
			}
			n := c.layers[i][l].Coats + by
			if on[i] = c.layers[i].with(l, n); n < 0 || on[i].coats() > p.problem.Options.MaxCoats || !p.allowed(i, order, on[i]) {
				return
			}
		}
		all = append(all, on)
	}
	for l := range order {
		if order[l].Coats != Planned {
			continue
		}
		for _, by := range []int{-1, 1} {
			for _, i := range group {
				change([]int{i}, l, by)
			}
			if len(group) > 1 {
				change(group, l, by)
			}
		}
	}
	return all
}

// bestCounts returns, by drawn sample, the best counts of a candidate's layers on the areas of a group: those of least cost that keep as much
// grain, by area of the group and layer. A range of them says how sure the candidate's counts are.
func (p *planner) bestCounts(ctx context.Context, c *candidate, group []int) (counts [][][]int, err error) {
	order := c.orders[group[0]]
	options := slices.DeleteFunc(p.optionsOf(order), func(ls layers) bool { return !p.nearAny(c, group, order, ls) })
	areas := p.areasOf(group)
	counts = make([][][]int, len(p.drawn))
	err = parallel.For(ctx, len(p.drawn), func(n int) {
		m := p.drawn[n]
		s := m.newSearchSpace(areas, options, func(a *Area) []appearance { return m.finals(a, options) },
			func(a *Area, ls layers) float64 { return p.price(a, order, ls) })
		pick := s.minimise(func(i, o int) bool { return p.allowed(group[i], order, options[o]) && s.keeps(i, o, c.floor) })
		for i := range group {
			ls := c.layers[group[i]]
			if pick != nil {
				ls = options[pick[i]]
			}
			var of []int
			for _, l := range ls {
				of = append(of, l.Coats)
			}
			counts[n] = append(counts[n], of)
		}
	})
	return counts, err
}

const nearCounts = 2 // coats by which the best counts of two layers are looked for about those of a candidate

// nearAny reports whether an option is near enough to what a candidate lays on some area of a group to be looked at in every sample.
func (p *planner) nearAny(c *candidate, group []int, o layerOrder, ls layers) bool {
	planned := 0
	for _, l := range o {
		if l.Coats == Planned {
			planned++
		}
	}
	if planned <= 1 {
		return true
	}
	return slices.ContainsFunc(group, func(i int) bool {
		for l := range ls {
			if o[l].Coats == Planned && max(ls[l].Coats-c.layers[i][l].Coats, c.layers[i][l].Coats-ls[l].Coats) > nearCounts {
				return false
			}
		}
		return true
	})
}

func (p *planner) areasOf(group []int) (areas []*Area) {
	for _, i := range group {
		areas = append(areas, &p.problem.Areas[i])
	}
	return areas
}

// finals returns the appearances of an area under options.
func (m model) finals(a *Area, options []layers) []appearance {
	all := make([]appearance, len(options))
	for i, ls := range options {
		all[i] = m.final(a, ls)
	}
	return all
}

// rangeOf returns the narrowest run of counts that holds n and the best count of 80 of 100 samples.
func rangeOf(best []int, n int) [2]int {
	share := make([]float64, max(n, slices.Max(best))+1)
	for _, c := range best {
		share[c] += 1 / float64(len(best))
	}
	return narrowest(share, n, 0.8)
}

// narrowest returns the narrowest run of indices that holds n and at least that much of share.
func narrowest(share []float64, n int, holds float64) [2]int {
	best, bestSum := [2]int{0, len(share) - 1}, 0.0
	for from := 0; from <= n; from++ {
		sum := 0.0
		for to := from; to < len(share); to++ {
			sum += share[to]
			if to < n || sum < holds-1e-9 {
				continue
			}
			if width := to - from; width < best[1]-best[0] || width == best[1]-best[0] && sum > bestSum {
				best, bestSum = [2]int{from, to}, sum
			}
			break
		}
	}
	return best
}

// byValue sorts candidates by what is minimised, those of fewer coats first where it is the same.
func byValue(x, y *candidate) int {
	return cmp.Or(cmp.Compare(x.value, y.value), cmp.Compare(x.coats(), y.coats()))
}
