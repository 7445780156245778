package plan

import (
	"cmp"
	"context"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// The ends are what the plans that may be made come to: of each group of areas that are to look alike, by plan and drawn sample, in the
// mean over the hands that lay it.
type ends struct {
	groups []groupEnds
	now    float64 // the largest difference under the suggested plan: the mean over the samples
}

type groupEnds struct {
	share float64     // of the areas
	value [][]float64 // what is minimised
	worst [][]float64 // the largest difference
	best  int         // the plan of least mean value
}

// endsOf judges the plans that may be made beside those that are suggested: those that were looked at, and the best of every sample, of as
// much grain.
func (p *planner) endsOf(ctx context.Context, suggested *candidate) (*ends, error) {
	v, now := &ends{}, make([]float64, len(p.drawn))
	for g, part := range suggested.parts {
		tried, err := p.triedBeside(ctx, part)
		if err != nil {
			return nil, err
		}
		e := groupEnds{share: float64(len(p.groups[g].areas)) / float64(p.woods)}
		for _, c := range tried {
			e.value = append(e.value, p.byDrawn(c.near, c.price))
			e.worst = append(e.worst, p.byDrawn(c.worst, 0))
		}
		for a := range e.value {
			if mean(e.value[a]) < mean(e.value[e.best]) {
				e.best = a
			}
		}
		v.groups = append(v.groups, e)
		atLeast(now, e.worst[0])
	}
	v.now = mean(now)
	return v, nil
}

// triedBeside returns a candidate, first, and others for its group.
func (p *planner) triedBeside(ctx context.Context, c *candidate) ([]*candidate, error) {
	all := []*candidate{c}
	add := func(d *candidate) {
		if len(all) < mostTried && !slices.ContainsFunc(all, d.sameCoats) {
			all = append(all, d)
		}
	}
	counts, err := p.bestCounts(ctx, c)
	if err != nil {
		return nil, err
	}
	order := c.orders[c.areas[0]]
	for _, of := range counts {
		on := slices.Clone(c.layers)
		for at, i := range c.areas {
			ls := make(layers, len(order))
			for l := range order {
				ls[l] = Layer{order[l].Coating, of[at][l]}
			}
			on[i] = ls
		}
		d, err := p.judge(ctx, c.areas, on, c.orders, c.floor)
		if err != nil {
			return nil, err
		}
		add(d)
	}
	judged := slices.DeleteFunc(slices.Clone(p.judged), func(d *candidate) bool {
		d = d.withFloor(c.floor)
		return !slices.Equal(d.areas, c.areas) || !d.keepsFloor()
	})
	slices.SortStableFunc(judged, func(x, y *candidate) int { return cmp.Compare(x.value, y.value) })
	for _, d := range judged {
		add(d)
	}
	return all, nil
}

// withFloor returns a candidate that is held to another floor of grain.
func (c *candidate) withFloor(floor float64) *candidate {
	held := *c
	held.floor = floor
	return &held
}

// byDrawn returns the mean of figures of all samples over the hands of each drawn one, and a constant.
func (p *planner) byDrawn(figures []float64, and float64) []float64 {
	all := make([]float64, len(p.drawn))
	for n, x := range figures {
		all[n%len(all)] += x * float64(len(all)) / float64(len(figures))
	}
	for n := range all {
		all[n] += and
	}
	return all
}

// after returns what is gained, in the mean over the samples, by planning with the outcome of a test, and the largest difference then.
func (v *ends) after(outcomes [][]float64) (gain, worst float64) {
	r, n := newRegression(outcomes), len(outcomes)
	without, with := make([]float64, n), make([]float64, n)
	for _, g := range v.groups {
		picked := make([]float64, n)
		for i, a := range r.least(g.value, g.best) {
			gain += g.share * (g.value[g.best][i] - g.value[a][i]) / float64(n)
			picked[i] = g.worst[a][i]
		}
		atLeast(without, g.worst[g.best])
		atLeast(with, picked)
	}
	return gain, v.now - mean(without) + mean(with)
}

// atLeast raises figures to those of others.
func atLeast(figures, others []float64) {
	for i := range figures {
		figures[i] = max(figures[i], others[i])
	}
}

func mean(x []float64) float64 { return floats.Sum(x) / float64(len(x)) }
