package plan

import (
	"cmp"
	"context"
	"math"
	"slices"

	"huewright/blend"
	"huewright/colour"
	"huewright/internal/stat"
)

// A chosen is a choice with the course it stands for.
type chosen struct {
	Choice
	course    layers
	candidate *candidate
}

// choices weighs nearness against grain: the closest end, and where the grain is known the
// balanced one and the one that keeps most, as far as none of them beats another in both.
func (p *planner) choices(ctx context.Context, a *Area, all []candidate) ([]chosen, error) {
	opt := &p.problem.Options
	holds := p.onlyFeasible(a, anyCandidate)
	enough := p.onlyFeasible(a, func(t *candidate) bool { return keepsEnough(t, opt.LeastGrain) })
	closest, err := p.preferred(ctx, a, all, holds)
	if err != nil {
		return nil, err
	}
	near, err := p.choice(ctx, a, Closest, closest, all, holds)
	if err != nil {
		return nil, err
	}
	out := []chosen{near}
	if !math.IsNaN(all[0].kept) {
		balanced, err := p.preferred(ctx, a, all, enough)
		if err != nil {
			return nil, err
		}
		if !balanced.layers.equal(closest.layers) {
			between, err := p.choice(ctx, a, Balanced, balanced, all, enough)
			if err != nil {
				return nil, err
			}
			out = append(out, between)
		} else {
			out[0].Kind = Balanced
		}
		if most := p.keepsMost(a, all); most != nil && most.kept > balanced.kept+grainWorth && most.best > balanced.best {
			grained, err := p.choice(ctx, a, MostGrain, most, all, holds)
			if err != nil {
				return nil, err
			}
			out = append(out, grained)
		}
	}
	return out, nil
}

// grainWorth is the share of the grain more that is worth a choice of its own (our own choice).
const grainWorth = 0.05

// keepsEnough reports whether a trial keeps as much grain as asked, or has none to keep.
func keepsEnough(t *candidate, least float64) bool { return math.IsNaN(t.kept) || t.kept >= least-1e-9 }

// preferred is the nearest of the allowed trials that needs no more coatings than it gains by.
func (p *planner) preferred(ctx context.Context, a *Area, all []candidate, allowed func(*candidate) bool) (*candidate, error) {
	best := (*candidate)(nil)
	for layers := range mostLayers + 1 {
		i := nearestCandidate(all, p.problem.Options.Tolerance, p.objective, func(t *candidate) bool { return len(t.layers) <= layers && allowed(t) })
		if i < 0 {
			continue
		}
		if t := &all[i]; best == nil || layers <= 1 || best.best > p.problem.Options.Tolerance && t.best <= best.best-worthACoating {
			best = t
		}
	}
	return p.conservative(ctx, a, all, best, allowed) // laying nothing keeps all grain: there always is one
}

// conservative takes away coats that make what is to be expected worse: a coat cannot be taken off, and
// the likeliest world is only one of many.
func (p *planner) conservative(ctx context.Context, a *Area, all []candidate, t *candidate, allowed func(*candidate) bool) (*candidate, error) {
	for len(t.layers) > 0 {
		fewer, err := p.oneFewer(ctx, a, all, t.layers)
		if err != nil {
			return nil, err
		}
		fewer = slices.DeleteFunc(fewer, func(f *candidate) bool { return !allowed(f) })
		if len(fewer) == 0 {
			return t, nil
		}
		best := slices.MinFunc(fewer, func(x, y *candidate) int { return cmp.Compare(x.expected, y.expected) })
		if t.expected <= best.expected {
			return t, nil
		}
		t = best
	}
	return t, nil
}

// oneFewer is the trials of a course with one coat less of each of its coatings.
func (p *planner) oneFewer(ctx context.Context, a *Area, all []candidate, c layers) (fewer []*candidate, err error) {
	if len(c) == 1 {
		return []*candidate{&p.countsOf(all, c[0].coating)[c[0].count-1]}, nil
	}
	var courses []layers
	for i := range c {
		d := slices.Clone(c)
		d[i].count--
		courses = append(courses, d.bare())
	}
	trials, err := p.evaluate(ctx, a, courses)
	if err != nil {
		return fewer, err
	}
	for i := range trials {
		fewer = append(fewer, &trials[i])
	}
	return fewer, nil
}

// keepsMost is the trial of a single coating that keeps most grain of those that take half of the
// difference away; nil where none does.
func (p *planner) keepsMost(a *Area, all []candidate) (best *candidate) {
	for i := range all {
		t := &all[i]
		if len(t.layers) != 1 || !p.layersMayLie(a, t.layers) || t.best > halfWay*all[0].best {
			continue
		}
		if best == nil || t.kept > best.kept {
			best = t
		}
	}
	return best
}

func (p *planner) choice(ctx context.Context, a *Area, kind string, t *candidate, all []candidate, allowed func(*candidate) bool) (chosen, error) {
	c := chosen{course: t.layers, candidate: t}
	c.Kind, c.Grain = kind, t.kept
	c.DeltaE = Spread{t.best, stat.Quantile(t.deltaE, 0.1), stat.Quantile(t.deltaE, 0.9)}
	for _, d := range t.deltaE {
		if d <= p.problem.Options.Tolerance {
			c.Within += 1 / float64(len(t.deltaE))
		}
	}
	if len(t.layers) == 0 {
		c.leftAlone(p, a, all, allowed)
	}
	for i, l := range t.layers {
		counts, err := p.varied(ctx, a, t.layers, i, all)
		if err != nil {
			return chosen{}, err
		}
		best := p.bestCounts(counts, allowed)
		c.Coats = append(c.Coats, CoatCount{p.best.sample.Coatings[l.coating].Name, l.count, rangeOf(best, l.count)})
		c.bestCounts = append(c.bestCounts, best)
	}
	for i, l := range t.layers[min(1, len(t.layers)):] {
		shelf := p.best.sample.Coatings
		if do := blend.SealBetween(&shelf[t.layers[i].coating], &shelf[l.coating]); do != "" {
			c.Between = append(c.Between, do)
		}
	}
	steps, err := p.steps(ctx, a, t.layers, 0, func(v model) colour.Lab { return v.target(a) })
	if err != nil {
		return chosen{}, err
	}
	c.StopAfter = stopAfter(steps, t.layers.coats())
	return c, nil
}

// leftAlone says of a choice without any coat how many it may yet need: of the coating that comes
// nearest by itself. It adds nothing where no coat is best in 80 of 100 worlds.
func (c *Choice) leftAlone(p *planner, a *Area, all []candidate, allowed func(*candidate) bool) {
	nearest := p.options(a, all)[0]
	if nearest.Conflict != "" {
		return
	}
	name := nearest.Coating
	best := p.bestCounts(p.countsOf(all, p.place(name)), allowed)
	if r := rangeOf(best, 0); r[1] > 0 {
		c.Coats, c.bestCounts = []CoatCount{{name, 0, r}}, [][]int{best}
	}
}

// varied is the trials of a course with other counts of layer i, from none on.
func (p *planner) varied(ctx context.Context, a *Area, c layers, i int, all []candidate) ([]candidate, error) {
	if len(c) == 1 {
		return p.countsOf(all, c[0].coating), nil
	}
	var courses []layers
	for n := range p.problem.Options.MaxCoats - c.coats() + c[i].count + 1 {
		d := slices.Clone(c)
		d[i].count = n
		courses = append(courses, d)
	}
	return p.evaluate(ctx, a, courses)
}

// stopAfter is the coat before the first of steps that could overshoot with more than 20 %
// chance; coats where none of them could.
func stopAfter(steps []Step, coats int) int {
	for _, s := range steps {
		if s.Overshoot > overshootRisk {
			return min(s.Coats-1, coats)
		}
	}
	return coats
}
