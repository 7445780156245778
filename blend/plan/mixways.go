package plan

import (
	"context"
	"math"
	"slices"

	"huewright/blend"
	"huewright/colour"
	"huewright/internal/parallel"
	"huewright/internal/stat"
)

// A way is one way to use a mix: the parts of water and the coats on each area.
type way struct {
	paints []paint
	water  []int // by area
	coats  []int
	cost   float64
}

// tried are an area's looks under 0 … mostMixCoats coats of a mix with so much water.
func (m *mixer) tried(r []paint, water int) *meeting {
	c := m.stirred(m.best, r, even(r))
	in := &meeting{near: m.ask.Options.Tolerance, looks: make([][]appearance, len(m.areas)), grain: make([][]float64, len(m.areas))}
	for n := range min(mostMixCoats, m.ask.Options.MaxCoats) + 1 {
		in.courses = append(in.courses, layers{{0, n}})
	}
	for i, a := range m.areas {
		start, before := m.best.start(a), m.best.baseline(a)
		for n := range in.courses {
			in.looks[i] = append(in.looks[i], m.best.look(start.under(c, thinned(r, water)*c.Thickness(float64(n), a.overAll(), nil))))
			in.grain[i] = append(in.grain[i], in.looks[i][n].keeps(&before))
		}
	}
	return in
}

// thinned is the paints' share of a mix with so much water.
func thinned(r []paint, water int) float64 {
	return float64(sumParts(r)) / float64(sumParts(r)+water)
}

// overAll is what a mix, a coating of its own, is laid on.
func (a *Area) overAll() blend.Surface {
	if len(a.Laid) > 0 {
		return blend.Sealed
	}
	return a.Surface
}

// waterFor are the whole parts of water that are tried with a mix.
func waterFor(r []paint) (parts []int) {
	for _, w := range waters {
		parts = append(parts, int(math.Round(w*float64(sumParts(r)))))
	}
	return slices.Compact(parts)
}

// oneMix is the best mix that serves all areas, in different counts.
func (m *mixer) oneMix(ctx context.Context, recipes []recipe) (*MixPlan, error) {
	var best *way
	for _, r := range recipes {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		for _, water := range waterFor(r.paints) {
			in := m.tried(r.paints, water)
			at, cost := m.bestOf(in)
			cost += stackGain / 2 * float64(len(r.paints)-1)
			if m.areas[0].Target == None {
				cost = max(cost, m.ask.Options.Tolerance) + worthMixCoat*float64(in.coats(at))/float64(len(at))
			}
			if best == nil || cost < best.cost-1e-9 {
				best = &way{paints: r.paints, water: slices.Repeat([]int{water}, len(at)), coats: at, cost: cost}
			}
		}
	}
	return m.plan(ctx, best)
}

// oneCount is the best single count of coats for all areas, with a dilution for each.
func (m *mixer) oneCount(ctx context.Context, recipes []recipe) (*MixPlan, error) {
	var best *way
	for _, r := range recipes {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		parts := waterFor(r.paints)
		all := make([]*meeting, len(parts))
		for i, water := range parts {
			all[i] = m.tried(r.paints, water)
		}
		for n := 1; n < len(all[0].courses); n++ {
			// The dilutions take the place of courses.
			in := &meeting{near: m.ask.Options.Tolerance, looks: make([][]appearance, len(m.areas)), grain: make([][]float64, len(m.areas))}
			for w := range parts {
				in.courses = append(in.courses, layers{{w, n}})
				for i := range m.areas {
					in.looks[i] = append(in.looks[i], all[w].looks[i][n])
					in.grain[i] = append(in.grain[i], all[w].grain[i][n])
				}
			}
			least := m.ask.Options.LeastGrain
			if !in.possible(least) {
				continue
			}
			at, cost := m.bestOf(in)
			cost += stackGain / 2 * float64(len(r.paints)-1)
			if m.areas[0].Target == None {
				cost = max(cost, m.ask.Options.Tolerance) + worthMixCoat*float64(n)
			}
			if best == nil || cost < best.cost-1e-9 {
				w := &way{paints: r.paints, cost: cost}
				for _, c := range at {
					w.water, w.coats = append(w.water, parts[c]), append(w.coats, n)
				}
				best = w
			}
		}
	}
	if best == nil {
		return nil, nil
	}
	return m.plan(ctx, best)
}

// possible reports whether every area has a course that keeps so much grain.
func (in *meeting) possible(least float64) bool {
	for i := range in.grain {
		if !slices.ContainsFunc(in.grain[i], func(g float64) bool { return !(g < least-1e-9) }) {
			return false
		}
	}
	return true
}

// plan tries a way in all worlds.
func (m *mixer) plan(ctx context.Context, best *way) (*MixPlan, error) {
	p := &MixPlan{Water: best.water[0], Grain: math.NaN()}
	for _, part := range best.paints {
		p.Parts = append(p.Parts, MixPart{m.best.world.Coatings[part.shelf].Name, part.parts})
	}
	ends := m.ends(m.best, best, even(best.paints))
	for i, a := range m.areas {
		before := m.best.baseline(a)
		area := MixArea{Name: a.Name, Coats: best.coats[i], Water: best.water[i], Lab: ends[i].mean, Grain: ends[i].keeps(&before)}
		p.Areas = append(p.Areas, area)
		if !math.IsNaN(area.Grain) && !(area.Grain >= p.Grain) {
			p.Grain = area.Grain
		}
	}
	p.DeltaE.Best = m.off(m.best, ends)
	all := make([]float64, len(m.drawn))
	if err := parallel.For(ctx, len(m.drawn), func(w int) {
		v := m.drawn[w]
		all[w] = m.off(v, m.ends(v, best, m.odds(v, best.paints)))
	}); err != nil {
		return nil, err
	}
	p.DeltaE.Low, p.DeltaE.High = stat.Quantile(all, 0.1), stat.Quantile(all, 0.9)
	return p, nil
}

// ends is how each area looks at the end of a way, in one world.
func (m *mixer) ends(v view, best *way, strength []float64) (ends []appearance) {
	c := m.stirred(v, best.paints, strength)
	for i, a := range m.areas {
		hand := v.world.FilmFactors(a.Name, best.paints[0].shelf, best.coats[i])
		film := thinned(best.paints, best.water[i]) * c.Thickness(float64(best.coats[i]), a.overAll(), hand)
		ends = append(ends, v.look(v.start(a).under(c, film)))
	}
	return ends
}

// off is the mean difference to the targets, or the worst pair where there are none.
func (m *mixer) off(v view, ends []appearance) (deltaE float64) {
	if m.areas[0].Target == None {
		for i := range ends {
			for k := range i {
				deltaE = max(deltaE, colour.DeltaE2000(ends[i].mean, ends[k].mean))
			}
		}
		return deltaE
	}
	for i, a := range m.areas {
		deltaE += colour.DeltaE2000(v.target(a), ends[i].mean) / float64(len(m.areas))
	}
	return deltaE
}
