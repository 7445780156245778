package plan

import (
	"context"
	"math"
	"slices"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/internal/parallel"
)

// A MixAnswer is the best of two ways to mix; nil for one that the shelf does not allow.
type MixAnswer struct {
	OneMix    *MixPlan // one mix, with a count for each area
	OneCount  *MixPlan // one count, with a dilution for each area
	MixedMore bool     // more than one paint
}

// FirstGuess reports whether paints are mixed of which no smear of a mix has told how strong they are in one.
func (a *MixAnswer) FirstGuess() bool {
	return a.OneMix != nil && a.OneMix.Guess || a.OneCount != nil && a.OneCount.Guess
}

// A MixPlan is what to stir together for all areas, and how many coats of it each gets.
type MixPlan struct {
	Parts  []MixPart
	Guess  bool // no smear of a mix told how strong its paints are in one
	Water  int  // parts of water, or of what the paints are thinned with, to those parts
	Areas  []MixArea
	DeltaE Spread  // the largest difference then: of an area from its target, or of two areas
	Grain  float64 // the least share that an area keeps; NaN where there is none
}

// A MixPart is so many parts, by volume, of a coating as it comes out of its tin.
type MixPart struct {
	Coating string
	Parts   int
}

// A MixArea is what one area gets of a mix.
type MixArea struct {
	Name  string
	Coats int
	Water int // parts; the same for all areas where one mix serves them
	Lab   colour.Lab
	Grain float64
}

const mostMixCoats = 6 // of one mix on one area

// waters are the parts of water to one part of paint that are tried: from a paint as it is to the
// thinnest wash of the trade, 1 to 20.
var waters = []float64{0, 0.5, 1, 1.5, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20}

// A dosage is one way to use a recipe.
type dosage struct {
	recipe recipe
	water  []int // parts, by area
	coats  []int // by area
	cost   float64
}

// Mixes finds what to mix from the shelf: whole-number parts of up to three coatings, and water.
// shares is the paint's share in the mix that each coating of the shelf stands for, 0–1; 1 where missing. It returns the errors of
// [Make].
func Mixes(ctx context.Context, w *learn.Samples, problem Problem, shares []float64) (*MixAnswer, error) {
	if err := problem.check(w); err != nil {
		return nil, err
	}
	problem.Options.fill()
	m := &mixer{planner: newPlanner(w, &problem), shares: shares}
	for _, g := range m.groups {
		m.units = append(m.units, g.units...)
	}
	m.areas = m.areasOf(m.units)
	recipes, err := m.shortlist(ctx)
	if err != nil {
		return nil, err
	}
	answer := &MixAnswer{}
	if answer.OneMix, err = m.cheapest(ctx, recipes, m.oneMix); err != nil {
		return nil, err
	}
	if answer.OneCount, err = m.cheapest(ctx, recipes, m.oneCount); err != nil {
		return nil, err
	}
	for _, p := range []*MixPlan{answer.OneMix, answer.OneCount} {
		answer.MixedMore = answer.MixedMore || p != nil && len(p.Parts) > 1
	}
	return answer, nil
}

// cheapest returns the plan of the cheapest dosage that of proposes for the recipes; nil where there is none.
func (m *mixer) cheapest(ctx context.Context, recipes []recipe, of func(recipe, func(dosage))) (*MixPlan, error) {
	var best *dosage
	for _, r := range recipes {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		of(r, func(d dosage) {
			if best == nil || d.cost < best.cost-1e-9 {
				best = &d
			}
		})
	}
	if best == nil {
		return nil, nil
	}
	return m.inFull(best).plan(ctx, best)
}

// inFull gives every area what its unit gets of a dosage, and is the mixer for all of them.
func (m *mixer) inFull(d *dosage) *mixer {
	full := *m
	areas := len(m.problem.Areas)
	full.areas = nil
	water, coats := make([]int, areas), make([]int, areas)
	for at, unit := range m.units {
		for _, i := range m.like[unit] {
			water[i], coats[i] = d.water[at], d.coats[at]
		}
	}
	d.water, d.coats = nil, nil
	for i := range m.problem.Areas {
		if a := &m.problem.Areas[i]; a.PartOf == "" {
			full.areas, d.water, d.coats = append(full.areas, a), append(d.water, water[i]), append(d.coats, coats[i])
		}
	}
	return &full
}

// oneMix takes the dilutions of a recipe that serve all areas, in different counts.
func (m *mixer) oneMix(r recipe, take func(dosage)) {
	for _, water := range watersFor(r) {
		s := m.atWholeCounts(r, water)
		pick, cost := m.bestOf(s)
		cost += r.price()
		take(dosage{r, slices.Repeat([]int{water}, len(pick)), pick, cost})
	}
}

// oneCount takes the counts of a recipe that serve all areas, with a dilution for each.
func (m *mixer) oneCount(r recipe, take func(dosage)) {
	water := watersFor(r)
	all := make([]*searchSpace, len(water))
	for i := range water {
		all[i] = m.atWholeCounts(r, water[i])
	}
	for n := 1; n < len(all[0].options); n++ {
		// The options are dilutions.
		options := make([]layers, len(water))
		for k := range water {
			options[k] = layers{{k, n}}
		}
		s := m.space(options, func(a *Area) (seen []appearance) {
			i := slices.Index(m.areas, a)
			for k := range water {
				seen = append(seen, all[k].appearances[i][n])
			}
			return seen
		}, m.mixPrice)
		if !m.possible(s) {
			continue
		}
		pick, cost := m.bestOf(s)
		cost += r.price()
		d := dosage{recipe: r, coats: slices.Repeat([]int{n}, len(pick)), cost: cost}
		for _, k := range pick {
			d.water = append(d.water, water[k])
		}
		take(d)
	}
}

// possible reports whether every area has an option that keeps the least grain asked for.
func (m *mixer) possible(s *searchSpace) bool {
	for i := range s.grain {
		some := false
		for c := range s.grain[i] {
			some = some || s.keeps(i, c, Softened)
		}
		if !some {
			return false
		}
	}
	return true
}

// atWholeCounts is the search space of 0 … mostMixCoats coats of a recipe with so much water.
func (m *mixer) atWholeCounts(r recipe, water int) *searchSpace {
	var options []layers
	for n := range min(mostMixCoats, m.problem.Options.MaxCoats) + 1 {
		options = append(options, layers{{0, n}})
	}
	return m.space(options, func(a *Area) (all []appearance) {
		mixture := m.mixture(m.best, a, r)
		for n := range options {
			film := r.thinned(water) * mixture.Thickness(float64(n), surfaceUnderMix(a), nil)
			all = append(all, m.best.appearanceOf(underMix(m.best, a, mixture, n).coated(mixture, film)))
		}
		return all
	}, m.mixPrice)
}

// space is a search space of the units in the best sample.
func (m *mixer) space(options []layers, of func(*Area) []appearance, price func(*Area, layers) float64) *searchSpace {
	s := m.best.newSearchSpace(m.areas, options, of, price)
	for i, unit := range m.units {
		s.weight[i] = m.weight(unit)
	}
	return s
}

// mixPrice returns the ΔE00 that the coats of an option must gain on an area: as those of a plan do.
func (m *mixer) mixPrice(_ *Area, ls layers) float64 {
	n := float64(ls.coats())
	return m.problem.Options.Price * n * (n + 1) / 2
}

// surfaceUnderMix returns what a mix, a coating of its own, is laid on.
func surfaceUnderMix(a *Area) blend.Surface {
	if len(a.Laid) > 0 {
		return blend.Sealed
	}
	return a.Surface
}

// underMix returns the reflectances of an area under the films of so many coats of a mix.
func underMix(in model, a *Area, mixture *blend.Coating, coats int) reflectances {
	if coats == 0 {
		return in.initial(a)
	}
	return in.initial(a).wetted(mixture, surfaceUnderMix(a))
}

// watersFor returns the whole parts of water that are tried with a recipe.
func watersFor(r recipe) (parts []int) {
	for _, w := range waters {
		parts = append(parts, int(math.Round(w*float64(r.parts()))))
	}
	return slices.Compact(parts)
}

// plan judges a dosage in all samples.
func (m *mixer) plan(ctx context.Context, d *dosage) (*MixPlan, error) {
	p := &MixPlan{Water: d.water[0], Grain: math.NaN()}
	for _, part := range d.recipe {
		p.Parts = append(p.Parts, MixPart{m.shelf()[part.shelf].Name, part.parts})
		_, told := m.best.sample.StrengthInMix(part.shelf)
		p.Guess = p.Guess || len(d.recipe) > 1 && !told
	}
	finals := m.finals(m.best, d)
	for i, a := range m.areas {
		before := m.best.baseline(a)
		area := MixArea{Name: a.Name, Coats: d.coats[i], Water: d.water[i], Lab: finals[i].mean, Grain: finals[i].keeps(&before, a)}
		p.Areas = append(p.Areas, area)
		if !math.IsNaN(area.Grain) && !(area.Grain >= p.Grain) {
			p.Grain = area.Grain
		}
	}
	drawn := make([]float64, len(m.drawn))
	if err := parallel.For(ctx, len(m.drawn), func(i int) {
		in := m.drawn[i]
		drawn[i] = m.deltaE(in, m.finals(in, d))
	}); err != nil {
		return nil, err
	}
	p.DeltaE = spread(drawn)
	return p, nil
}

// finals returns the appearance of each area at the end of a dosage, in one sample.
func (m *mixer) finals(in model, d *dosage) (all []appearance) {
	for i, a := range m.areas {
		mixture := m.mixture(in, a, d.recipe)
		factors := in.sample.FilmFactors(a.Name, d.recipe[0].shelf, d.coats[i])
		film := d.recipe.thinned(d.water[i]) * mixture.Thickness(float64(d.coats[i]), surfaceUnderMix(a), factors)
		all = append(all, in.appearanceOf(underMix(in, a, mixture, d.coats[i]).coated(mixture, film)))
	}
	return all
}

// deltaE returns MixPlan.DeltaE in one sample.
func (m *mixer) deltaE(in model, finals []appearance) (worst float64) {
	for i, a := range m.areas {
		if a.Target != None {
			worst = max(worst, colour.DeltaE2000(in.target(a), finals[i].mean))
		}
		for k, b := range m.areas[:i] {
			if a.comparedWith(b) {
				worst = max(worst, colour.DeltaE2000(finals[i].mean, finals[k].mean))
			}
		}
	}
	return worst
}
