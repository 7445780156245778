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

// A candidate is what may be laid on the units of a group, or on all areas of a problem, judged in all samples.
type candidate struct {
	areas  []int        // that it is judged on
	parts  []*candidate // of a candidate of all groups: those of each
	layers []layers     // by area
	orders []layerOrder // by area: what its layers were chosen from
	floor  float64      // least share of grain that every area was to keep
	given  bool         // somebody named its counts: no others are looked for
	near   []float64    // half of the worst difference and half of the mean of each area's own worst, by sample
	worst  []float64    // the largest difference, by sample
	own    [][]float64  // each area's largest difference, by area and sample; nil where it is not judged
	grain  []float64    // share kept, by area: the median over the samples; NaN where there is none
	price  float64      // ΔE00 that its coats and coatings must gain
	value  float64      // median of near, and the price: what is minimised
	counts [][][]int    // see bestCounts; kept, since the next test asks for them again
}

// coats returns how many coats a candidate lays in all.
func (c *candidate) coats() (n int) {
	for _, i := range c.areas {
		n += c.orders[i].plannedCoats(c.layers[i])
	}
	return n
}

// leastGrain returns the least share that an area keeps; NaN where none has any.
func (c *candidate) leastGrain() float64 {
	least := math.NaN()
	for _, i := range c.areas {
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

// judge works out what layers come to on some areas that are to look alike, each counting for so many as it stands for.
func (p *planner) judge(ctx context.Context, areas []int, on []layers, orders []layerOrder, floor float64) (*candidate, error) {
	c := &candidate{
		areas: areas, layers: on, orders: orders, floor: floor, own: make([][]float64, len(on)), grain: make([]float64, len(on)),
		near: make([]float64, len(p.many)), worst: make([]float64, len(p.many)),
	}
	ends, all := make([]*ending, len(on)), 0.0
	for _, i := range areas {
		var err error
		if ends[i], err = p.endingOf(ctx, i, on[i]); err != nil {
			return nil, err
		}
		c.own[i], c.grain[i] = make([]float64, len(p.many)), ends[i].grain
		c.price += p.weight(i) * p.price(&p.problem.Areas[i], orders[i], on[i])
		all += p.weight(i)
	}
	c.price = c.price/all + priceOfCoatings(areas, on, orders)
	if err := parallel.For(ctx, len(p.many), func(n int) {
		sum := 0.0
		for _, i := range areas {
			own := 0.0
			if ends[i].toTarget != nil {
				own = ends[i].toTarget[n]
			}
			for _, k := range areas {
				if k != i {
					own = max(own, colour.DeltaE2000(ends[i].seen[n], ends[k].seen[n]))
				}
			}
			c.own[i][n] = own
			c.worst[n], sum = max(c.worst[n], own), sum+p.weight(i)*own
		}
		c.near[n] = (c.worst[n] + sum/all) / 2
	}); err != nil {
		return nil, err
	}
	c.value = median(c.near) + c.price
	return c, nil
}

// together is one candidate of all groups, made of one for each: nearness and price are means over the areas.
func (p *planner) together(all []*candidate) *candidate {
	areas := len(p.problem.Areas)
	c := &candidate{
		parts: slices.Clone(all), layers: make([]layers, areas), orders: make([]layerOrder, areas), own: make([][]float64, areas),
		grain: make([]float64, areas), near: make([]float64, len(p.many)), worst: make([]float64, len(p.many)),
	}
	for i := range c.grain {
		c.grain[i] = math.NaN() // spots have none
	}
	for g, part := range all {
		share := float64(len(p.groups[g].areas)) / float64(p.woods)
		c.price += share * part.price
		for _, i := range part.areas {
			c.areas = append(c.areas, i)
			c.layers[i], c.orders[i], c.own[i], c.grain[i] = part.layers[i], part.orders[i], part.own[i], part.grain[i]
		}
		for n := range c.near {
			c.near[n] += share * part.near[n]
			c.worst[n] = max(c.worst[n], part.worst[n])
		}
	}
	c.value = median(c.near) + c.price
	return c
}

// inFull is a candidate judged on every area, not only on those that stand for others, with the layers of spots.
func (p *planner) inFull(ctx context.Context, c *candidate) (*candidate, error) {
	on, in := p.everywhere(c)
	if len(c.areas) == p.woods {
		full := *c
		full.layers, full.orders = on, in
		return &full, nil
	}
	parts := make([]*candidate, len(c.parts))
	for g, part := range c.parts {
		var err error
		if parts[g], err = p.judge(ctx, p.groups[g].areas, on, in, part.floor); err != nil {
			return nil, err
		}
	}
	full := p.together(parts)
	full.layers, full.orders = on, in
	return full, nil
}

// worthACoating is the ΔE00 that a further coating must gain, since it costs another mix and more risk. Our own choice.
const worthACoating = 1.0

// priceOfCoatings returns the ΔE00 that the coatings that are laid on some areas must gain, beyond the first.
func priceOfCoatings(areas []int, on []layers, orders []layerOrder) float64 {
	var laid []int
	for _, i := range areas {
		for l := range orders[i] {
			if k := on[i][l].Coating; orders[i][l].Coats == Planned && on[i][l].Coats > 0 && !slices.Contains(laid, k) {
				laid = append(laid, k)
			}
		}
	}
	return worthACoating * float64(max(0, len(laid)-1))
}

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
			n, err := p.judge(ctx, c.areas, on, c.orders, c.floor)
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
	return !slices.ContainsFunc(c.areas, func(i int) bool {
		return c.grain[i] < c.floor-1e-9 && c.orders[i].plannedCoats(c.layers[i]) > 0
	})
}

// neighbours are the layers of a group's units with one coat more or less, on one of them or on all.
func (p *planner) neighbours(c *candidate) (all [][]layers) {
	order := c.orders[c.areas[0]]
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
			for _, i := range c.areas {
				change([]int{i}, l, by)
			}
			if len(c.areas) > 1 {
				change(c.areas, l, by)
			}
		}
	}
	return all
}

// bestCounts returns, by drawn sample, the best counts of a candidate's layers on the units of its group: those of least cost that keep as
// much grain, by unit and layer; none where somebody named the counts. A range of them says how sure the candidate's counts are.
func (p *planner) bestCounts(ctx context.Context, c *candidate) (counts [][][]int, err error) {
	if c.given || c.counts != nil {
		return c.counts, nil
	}
	order := c.orders[c.areas[0]]
	options := slices.DeleteFunc(p.optionsOf(order, c.areas), func(ls layers) bool { return !c.isNear(order, ls) })
	counts = make([][][]int, len(p.drawn))
	err = parallel.For(ctx, len(p.drawn), func(n int) {
		s := p.spaceOf(p.drawn[n], c.areas, order, options)
		pick := s.minimise(func(i, o int) bool { return p.allowed(c.areas[i], order, options[o]) && s.keeps(i, o, c.floor) })
		for i, area := range c.areas {
			ls := c.layers[area]
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
	if err == nil {
		c.counts = counts
	}
	return counts, err
}

const nearCounts = 2 // coats by which the best counts of two layers are looked for about those of a candidate

// isNear reports whether an option of two layers or more is near enough to what a candidate lays on some area to be looked at in every
// sample.
func (c *candidate) isNear(o layerOrder, ls layers) bool {
	if o.planned() <= 1 {
		return true
	}
	return slices.ContainsFunc(c.areas, func(i int) bool {
		for l := range ls {
			if o[l].Coats == Planned && max(ls[l].Coats-c.layers[i][l].Coats, c.layers[i][l].Coats-ls[l].Coats) > nearCounts {
				return false
			}
		}
		return true
	})
}

func (p *planner) areasOf(indices []int) (areas []*Area) {
	for _, i := range indices {
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

// rangeOf returns the narrowest run of counts that holds n and the best count of 80 of 100 samples; n alone where there are none.
func rangeOf(best []int, n int) [2]int {
	if len(best) == 0 {
		return [2]int{n, n}
	}
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
