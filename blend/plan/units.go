package plan

import (
	"fmt"
	"slices"

	"huewright/colour"
)

// mostUnits is how many areas that are to look alike are searched one by one. Of more, those that are alike already get the same coats:
// the work grows with the square of the areas, and nobody lays other coats on parts of one wood.
const mostUnits = 8

// alikeFirst is the ΔE00 within which areas count as one wood at first; it is doubled until there are few enough.
const alikeFirst = 1.0

// groupTogether fills in the groups of areas that are to look alike, and of each the units: its areas, or, where there are many, one for
// all that are alike already.
func (p *planner) groupTogether() {
	areas := p.problem.Areas
	for i := range areas {
		if areas[i].PartOf != "" {
			continue
		}
		p.woods++
		at := slices.IndexFunc(p.groups, func(g *group) bool { return areas[g.areas[0]].comparedWith(&areas[i]) })
		if at < 0 {
			p.groups, at = append(p.groups, &group{}), len(p.groups)
		}
		p.groups[at].areas = append(p.groups[at].areas, i)
	}
	p.like = make([][]int, len(areas))
	for _, g := range p.groups {
		p.unite(g)
	}
}

// A group is areas that are to look alike, by index.
type group struct {
	areas []int
	units []int // those that are searched; each stands for itself and for planner.like
}

// unite chooses the units of a group.
func (p *planner) unite(g *group) {
	for alike := 0.0; ; alike = max(alikeFirst, 2*alike) {
		g.units = nil
		for _, i := range g.areas {
			at := slices.IndexFunc(g.units, func(u int) bool { return u == i || alike > 0 && p.alike(u, i, alike) })
			if at < 0 {
				g.units = append(g.units, i)
				p.like[i] = []int{i}
				continue
			}
			p.like[g.units[at]] = append(p.like[g.units[at]], i)
		}
		if len(g.units) <= mostUnits || alike > colour.DeltaE2000(colour.Lab{}, colour.Lab{L: 100}) {
			return
		}
	}
}

// alike reports whether two areas may be coated as one: they are within a ΔE00 of one another now, on one surface under the same layers,
// the same layers may go on them, and, where they absorb, they are of one wood.
func (p *planner) alike(i, k int, within float64) bool {
	a, b := &p.problem.Areas[i], &p.problem.Areas[k]
	if a.Surface != b.Surface || a.Surface.Absorbs() && a.Wood != b.Wood || fmt.Sprint(a.Laid) != fmt.Sprint(b.Laid) {
		return false
	}
	for l := range p.problem.Layers {
		if p.problem.Layers[l].on(i) != p.problem.Layers[l].on(k) {
			return false
		}
	}
	return colour.DeltaE2000(p.best.appearanceOf(p.best.initial(a)).mean, p.best.appearanceOf(p.best.initial(b)).mean) <= within
}

// weight is how many areas a unit stands for.
func (p *planner) weight(unit int) float64 { return float64(len(p.like[unit])) }

// everywhere lays on every area what its unit gets, and on every spot what its wood gets, but for layers that are not on it.
func (p *planner) everywhere(c *candidate) (on []layers, in []layerOrder) {
	on, in = slices.Clone(c.layers), slices.Clone(c.orders)
	for _, unit := range c.areas {
		for _, i := range p.like[unit] {
			on[i], in[i] = c.layers[unit], c.orders[unit]
		}
	}
	for i := range on {
		if wood := p.problem.wood(i); wood != None {
			on[i], in[i] = spotLayers(i, wood, on[wood], in[wood]), in[wood]
		}
	}
	return on, in
}

// spotLayers returns what spot i gets of the layers of its wood, and of those with a given number that are on it alone.
func spotLayers(i, wood int, laid layers, in layerOrder) layers {
	ls := slices.Clone(laid)
	for l := range ls {
		switch {
		case !in[l].on(i):
			ls[l].Coats = 0
		case in[l].Coats != Planned && !in[l].on(wood):
			ls[l].Coats = in[l].Coats
		}
	}
	return ls
}
