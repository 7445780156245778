package plan

import (
	"slices"

	"huewright/blend"
)

// Planned stands for a number of coats that is looked for.
const Planned = -1

// A ScheduledLayer is a layer of a finish, in its place in the order: a coating on all areas, or on some.
type ScheduledLayer struct {
	Coating int   // index on the shelf
	Areas   []int // indices into Problem.Areas; empty for all
	Coats   int   // Planned, or so many on each area
}

// A layerOrder is the layers, undermost first, that areas may get.
type layerOrder []ScheduledLayer

// on reports whether layer l lies on area i.
func (l *ScheduledLayer) on(i int) bool { return len(l.Areas) == 0 || slices.Contains(l.Areas, i) }

// leftOut reports whether layers are given and none of them goes on area i.
func (p *planner) leftOut(i int) bool {
	given := p.problem.Layers
	return len(given) > 0 && !slices.ContainsFunc(given, func(l ScheduledLayer) bool { return l.on(i) })
}

const (
	mostOrderCoats  = 6 // of one coating, where two are laid one over the other
	mostTripleCoats = 3 // of one coating, where three are
	tripleShelf     = 4 // coatings from which orders of three are too many to try
)

// planned returns how many layers of an order have their number looked for.
func (o layerOrder) planned() (n int) {
	for _, l := range o {
		if l.Coats == Planned {
			n++
		}
	}
	return n
}

// mostOf returns how many coats of one layer are tried.
func (p *planner) mostOf(o layerOrder) int {
	switch most := p.problem.Options.MaxCoats; o.planned() {
	case 0, 1:
		return most
	case 2:
		return min(most, mostOrderCoats)
	default:
		return min(most, mostTripleCoats)
	}
}

// optionsOf returns the counts of the layers of an order that one of some areas may get, none first where nothing is given.
func (p *planner) optionsOf(o layerOrder, areas []int) (all []layers) {
	most := p.mostOf(o)
	var add func(ls layers, planned int)
	add = func(ls layers, planned int) {
		if len(ls) == len(o) {
			if slices.ContainsFunc(areas, func(i int) bool { return p.allowed(i, o, ls) }) {
				all = append(all, slices.Clone(ls))
			}
			return
		}
		l := &o[len(ls)]
		if l.Coats != Planned {
			for _, n := range slices.Compact([]int{0, l.Coats}) { // none where the layer is not on the area
				add(append(ls, Layer{l.Coating, n}), planned)
			}
			return
		}
		for n := 0; n <= most && planned+n <= p.problem.Options.MaxCoats; n++ {
			add(append(ls, Layer{l.Coating, n}), planned+n)
		}
	}
	add(make(layers, 0, len(o)), 0)
	return all
}

// allowed reports whether area i may get the counts ls of an order: layers that are not on it get none, those with a given number get
// that, those that are looked for are no more than the area may still have, and the undermost may lie on what the area has. A stain
// whose coats are looked for goes on once or twice, where it soaks in.
func (p *planner) allowed(i int, o layerOrder, ls layers) bool {
	for l := range o {
		switch on := o[l].on(i); {
		case !on && ls[l].Coats > 0, on && o[l].Coats != Planned && ls[l].Coats != o[l].Coats:
			return false
		case ls[l].Coats > 0 && o[l].Coats == Planned && !p.ofUse(&p.problem.Areas[i], ls[:l+1]):
			return false
		}
	}
	a := &p.problem.Areas[i]
	if n := o.plannedCoats(ls); n > 0 && n > p.further(a) {
		return false
	}
	return p.layersMayLie(a, ls)
}

// further returns how many further coats an area may have, beyond those that lie there.
func (p *planner) further(a *Area) int {
	return max(0, p.problem.Options.MaxCoats-layers(a.Laid).coats())
}

// ofUse reports whether the uppermost of some layers is of use on an area: it takes on the surface, if it comes to lie on that, and
// is not laid more often than its kind is of use.
func (p *planner) ofUse(a *Area, ls layers) bool {
	top := ls[len(ls)-1]
	c := &p.shelf()[top.Coating]
	if most := c.Kind.MostCoats(); most > 0 && a.has(top.Coating)+top.Coats > most {
		return false
	}
	if len(a.Laid) > 0 || ls[:len(ls)-1].coats() > 0 {
		return true
	}
	ok, _ := c.TakesOn(a.Surface)
	return ok
}

// plannedCoats returns the coats of an option that were looked for.
func (o layerOrder) plannedCoats(ls layers) (n int) {
	for l := range o {
		if o[l].Coats == Planned {
			n += ls[l].Coats
		}
	}
	return n
}

// searched returns the orders that are tried for a group of areas where the problem gives none: every coating by itself, every two in an
// order that they may lie in, and on a small shelf every three.
func (p *planner) searched(mostLayers int) (all []layerOrder) {
	for n := 1; n <= mostLayers; n++ {
		for _, order := range p.orders(n) {
			var o layerOrder
			for _, k := range order {
				o = append(o, ScheduledLayer{Coating: k, Coats: Planned})
			}
			all = append(all, o)
		}
	}
	return all
}

// orders returns all orders of n different coatings of the shelf that may lie one over another.
func (p *planner) orders(n int) (all [][]int) {
	shelf := p.shelf()
	var add func(order []int)
	add = func(order []int) {
		if len(order) == n {
			all = append(all, slices.Clone(order))
			return
		}
		for k := range shelf {
			if slices.Contains(order, k) || !p.problem.coats(k) {
				continue
			}
			if under := len(order) - 1; under >= 0 {
				if ok, _ := blend.MayLie(&shelf[order[under]], &shelf[k]); !ok {
					continue
				}
			}
			add(append(order, k))
		}
	}
	add(nil)
	return all
}
