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

// A dosage is one way to use a mix: the parts of water and the coats on each area.
type dosage struct {
	paints []paint
	water  []int // by area
	coats  []int
	cost   float64
}

// atWholeCounts are an area's looks under 0 … mostMixCoats coats of a mix with so much water.
func (m *mixer) atWholeCounts(r []paint, water int) *searchSpace {
	c := m.mixture(m.best, r, nominal(r))
	in := &searchSpace{tolerance: m.problem.Options.Tolerance, appearances: make([][]appearance, len(m.areas)), grain: make([][]float64, len(m.areas))}
	for n := range min(mostMixCoats, m.problem.Options.MaxCoats) + 1 {
		in.options = append(in.options, layers{{0, n}})
	}
	for i, a := range m.areas {
		start, before := m.best.initial(a), m.best.baseline(a)
		for n := range in.options {
			in.appearances[i] = append(in.appearances[i], m.best.appearanceOf(start.coated(c, thinned(r, water)*c.Thickness(float64(n), a.overAll(), nil))))
			in.grain[i] = append(in.grain[i], in.appearances[i][n].keeps(&before))
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
	var best *dosage
	for _, r := range recipes {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		for _, water := range waterFor(r.paints) {
			in := m.atWholeCounts(r.paints, water)
			at, cost := m.bestOf(in)
			cost += worthACoating / 2 * float64(len(r.paints)-1)
			if m.areas[0].Target == None {
				cost = max(cost, m.problem.Options.Tolerance) + worthMixCoat*float64(in.coats(at))/float64(len(at))
			}
			if best == nil || cost < best.cost-1e-9 {
				best = &dosage{paints: r.paints, water: slices.Repeat([]int{water}, len(at)), coats: at, cost: cost}
			}
		}
	}
	return m.result(ctx, best)
}

// oneCount is the best single count of coats for all areas, with a dilution for each.
func (m *mixer) oneCount(ctx context.Context, recipes []recipe) (*MixPlan, error) {
	var best *dosage
	for _, r := range recipes {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		parts := waterFor(r.paints)
		all := make([]*searchSpace, len(parts))
		for i, water := range parts {
			all[i] = m.atWholeCounts(r.paints, water)
		}
		for n := 1; n < len(all[0].options); n++ {
			// The dilutions take the place of courses.
			in := &searchSpace{tolerance: m.problem.Options.Tolerance, appearances: make([][]appearance, len(m.areas)), grain: make([][]float64, len(m.areas))}
			for w := range parts {
				in.options = append(in.options, layers{{w, n}})
				for i := range m.areas {
					in.appearances[i] = append(in.appearances[i], all[w].appearances[i][n])
					in.grain[i] = append(in.grain[i], all[w].grain[i][n])
				}
			}
			least := m.problem.Options.LeastGrain
			if !in.possible(least) {
				continue
			}
			at, cost := m.bestOf(in)
			cost += worthACoating / 2 * float64(len(r.paints)-1)
			if m.areas[0].Target == None {
				cost = max(cost, m.problem.Options.Tolerance) + worthMixCoat*float64(n)
			}
			if best == nil || cost < best.cost-1e-9 {
				w := &dosage{paints: r.paints, cost: cost}
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
	return m.result(ctx, best)
}

// possible reports whether every area has a course that keeps so much grain.
func (in *searchSpace) possible(least float64) bool {
	for i := range in.grain {
		if !slices.ContainsFunc(in.grain[i], func(g float64) bool { return !(g < least-1e-9) }) {
			return false
		}
	}
	return true
}

// result tries a way in all worlds.
func (m *mixer) result(ctx context.Context, best *dosage) (*MixPlan, error) {
	p := &MixPlan{Water: best.water[0], Grain: math.NaN()}
	for _, part := range best.paints {
		p.Parts = append(p.Parts, MixPart{m.best.sample.Coatings[part.shelf].Name, part.parts})
	}
	ends := m.finals(m.best, best, nominal(best.paints))
	for i, a := range m.areas {
		before := m.best.baseline(a)
		area := MixArea{Name: a.Name, Coats: best.coats[i], Water: best.water[i], Lab: ends[i].mean, Grain: ends[i].keeps(&before)}
		p.Areas = append(p.Areas, area)
		if !math.IsNaN(area.Grain) && !(area.Grain >= p.Grain) {
			p.Grain = area.Grain
		}
	}
	p.DeltaE.Best = m.meanDeltaE(m.best, ends)
	all := make([]float64, len(m.drawn))
	if err := parallel.For(ctx, len(m.drawn), func(w int) {
		v := m.drawn[w]
		all[w] = m.meanDeltaE(v, m.finals(v, best, m.drawStrengths(v, best.paints)))
	}); err != nil {
		return nil, err
	}
	p.DeltaE.Low, p.DeltaE.High = stat.Quantile(all, 0.1), stat.Quantile(all, 0.9)
	return p, nil
}

// finals is how each area looks at the end of a way, in one world.
func (m *mixer) finals(v model, best *dosage, strength []float64) (ends []appearance) {
	c := m.mixture(v, best.paints, strength)
	for i, a := range m.areas {
		hand := v.sample.FilmFactors(a.Name, best.paints[0].shelf, best.coats[i])
		film := thinned(best.paints, best.water[i]) * c.Thickness(float64(best.coats[i]), a.overAll(), hand)
		ends = append(ends, v.appearanceOf(v.initial(a).coated(c, film)))
	}
	return ends
}

// meanDeltaE is the mean difference to the targets, or the worst pair where there are none.
func (m *mixer) meanDeltaE(v model, ends []appearance) (deltaE float64) {
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
