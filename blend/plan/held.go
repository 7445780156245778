package plan

import (
	"math"
	"slices"

	"huewright/blend"
	"huewright/colour"
)

// Figures of a search among coatings that are not on the shelf. Our own choice.
const (
	mostHeldCoats = 4    // of one coating on one area
	grainGoal     = 1.5  // ΔE00 that all of an area's grain is worth
	heldVariation = 0.15 // of the film of one coat, as of what is brushed on
)

// A heldEnd is some areas that are to come to one colour, which is held: their target or, without one, the darkest of them as it will be
// seen. Were it not held, a coating near black would make all alike. Everything is told in the most probable sample.
type heldEnd struct {
	p     *planner
	with  model // the most probable sample, with grain where none is known
	areas []int
	end   colour.Lab
	bare  []appearance // of each area without the coating, as it will be seen
	grain []appearance // what its grain is told against
}

// holdEnd holds the end of the areas that are to look alike and that a choice leaves furthest apart; of the first where all are alike.
func (p *planner) holdEnd(choice *Choice) *heldEnd {
	h := &heldEnd{p: p, areas: p.groups[0].units}
	for _, g := range p.groups {
		if slices.ContainsFunc(g.areas, func(i int) bool { return p.problem.Areas[i].Name == choice.Of[0] }) {
			h.areas = g.units
		}
	}
	h.with = p.best.withGrain()
	none := h.with.withCoating(&blend.Coating{})
	for _, i := range h.areas {
		a := h.area(i)
		seen := none.final(a, p.heldLayers(i, 0))
		h.bare, h.grain = append(h.bare, seen), append(h.grain, h.with.baseline(a))
		if a.Target != None {
			h.end = h.with.target(a)
		} else if h.end == (colour.Lab{}) || seen.mean.L < h.end.L {
			h.end = seen.mean
		}
	}
	return h
}

func (h *heldEnd) area(i int) *Area { return &h.with.problem.Areas[i] }

// assumedGrain is how much lighter and darker than its mean the grain of an area is taken to be where it was not measured, so that hiding
// tells there too. Our own choice.
const assumedGrain = 0.15

// withGrain is a model in which every uncoated area that absorbs has grain.
func (m model) withGrain() model {
	s, problem := *m.sample, *m.problem
	s.Colours, problem.Areas = slices.Clone(s.Colours), slices.Clone(problem.Areas)
	for i := range problem.Areas {
		a := &problem.Areas[i]
		if a.Light != None && a.Dark != None || a.Surface == blend.NonAbsorbing || len(a.Laid) > 0 {
			continue
		}
		light, dark := s.Colours[a.Mean], s.Colours[a.Mean]
		for band := range light {
			light[band], dark[band] = min(1, light[band]*(1+assumedGrain)), dark[band]*(1-assumedGrain)
		}
		a.Light, a.Dark = len(s.Colours), len(s.Colours)+1
		s.Colours = append(s.Colours, light, dark)
	}
	return model{&problem, &s}
}

// withCoating is a model whose sample has one coating more, at the end of the shelf.
func (m model) withCoating(c *blend.Coating) model {
	s := *m.sample
	s.Coatings = append(slices.Clip(s.Coatings), *c)
	s.BoardToPiece = append(slices.Clip(s.BoardToPiece), 1)
	return model{m.problem, &s}
}

// heldLayers are the layers of area i with so many coats of a coating that is not on the shelf, in the place of the first whose number is
// looked for.
func (p *planner) heldLayers(i, coats int) (ls layers) {
	order := p.problem.Layers
	if len(order) == 0 {
		return layers{{len(p.shelf()), coats}}
	}
	laid := false
	for l := range order {
		switch {
		case !order[l].on(i):
		case order[l].Coats != Planned:
			ls = append(ls, Layer{order[l].Coating, order[l].Coats})
		case !laid:
			ls, laid = append(ls, Layer{len(p.shelf()), coats}), true
		}
	}
	return ls
}

// takes reports whether area i may get a coating whose number is looked for.
func (p *planner) takes(i int) bool {
	order := p.problem.Layers
	return len(order) == 0 || slices.ContainsFunc(order, func(l ScheduledLayer) bool { return l.Coats == Planned && l.on(i) })
}

// A verdict is what a coating comes to on all areas of a held end, in its best counts.
type verdict struct {
	coats  []int
	deltaE []float64 // from the end, by area
	grain  []float64 // share kept, by area; NaN where there is none
	cost   float64
}

func (v *verdict) worst() float64 { return slices.Max(v.deltaE) }

// An outcome is one count of a coating on one area.
type outcome struct {
	deltaE, grain float64
	cost          float64 // but for the worst difference
}

// judge finds the counts of a coating in which it costs least: half of the worst difference and half of the mean, the price of its
// coats, and what it takes of the grain. A difference has in it what one coat that comes out 15 % thicker changes, since a coat that
// does all at once cannot be laid evenly.
func (h *heldEnd) judge(c *blend.Coating) *verdict {
	m := h.with.withCoating(c)
	uneven := h.with.withCoating(c.Strength(1 + heldVariation))
	all := make([][]outcome, len(h.areas))
	whole := 0.0
	for at, i := range h.areas {
		a, weight := h.area(i), h.p.weight(i)
		meanOnly := *a
		meanOnly.Light, meanOnly.Dark, meanOnly.BareLight, meanOnly.BareDark = None, None, None, None
		whole += weight
		for n := range mostHeldCoats + 1 {
			seen, change := h.bare[at], 0.0
			if n > 0 {
				seen = m.final(a, h.p.heldLayers(i, n))
				thicker := uneven.lay(&meanOnly, h.p.heldLayers(i, n), nil)
				change = colour.DeltaE2000(seen.mean, uneven.render(thicker.mean, thicker.on)) / math.Sqrt(float64(n))
			}
			o := outcome{deltaE: colour.DeltaE2000(h.end, seen.mean), grain: seen.keeps(&h.grain[at], a)}
			lost := 0.0
			if !math.IsNaN(o.grain) {
				lost = 1 - o.grain
			}
			o.cost = weight * ((o.deltaE+change)/2 + h.p.problem.Options.Price*float64(n*(n+1))/2 + grainGoal*lost)
			all[at] = append(all[at], o)
			if !h.p.takes(i) {
				break
			}
		}
	}
	return cheapestCounts(all, whole)
}

// cheapestCounts picks an outcome for each area: for each bound on the worst difference, the cheapest within it.
func cheapestCounts(all [][]outcome, whole float64) (best *verdict) {
	for _, some := range all {
		for _, bound := range some {
			v, worst := &verdict{}, 0.0
			for at := range all {
				pick := -1
				for n, o := range all[at] {
					if o.deltaE <= bound.deltaE && (pick < 0 || o.cost < all[at][pick].cost) {
						pick = n
					}
				}
				if pick < 0 {
					break
				}
				o := all[at][pick]
				v.coats, v.deltaE, v.grain = append(v.coats, pick), append(v.deltaE, o.deltaE), append(v.grain, o.grain)
				v.cost, worst = v.cost+o.cost/whole, max(worst, o.deltaE)
			}
			v.cost += worst / 2
			if len(v.coats) == len(all) && (best == nil || v.cost < best.cost) {
				best = v
			}
		}
	}
	return best
}
