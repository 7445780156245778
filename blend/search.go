package blend

import (
	"cmp"

	"huewright/colour"
)

const (
	worthACoat  = 0.1 // ΔE00 that coats more must gain to be laid (our own choice; nobody sees it)
	mostPlanned = 100 // coats: all stacks of so many are still tried in well under a second
	stackGain   = 1.0 // ΔE00 that a second coating must gain, since it costs another mix and more risk
)

// An area is what is to be coated, and what it is to look like.
type area struct {
	lab       colour.Lab
	ground    colour.Spectrum
	target    colour.Lab
	tolerance float64
	maxCoats  int
}

// A layer is some coats of one coating.
type layer struct {
	coating *Coating
	count   int
}

// An ending is where layers, the first of them undermost, bring an area.
type ending struct {
	layers []layer
	lab    colour.Lab
	deltaE float64 // to the target
}

func (e *ending) coats() (n int) {
	for _, l := range e.layers {
		n += l.count
	}
	return n
}

// nearest returns the ending with the fewest coats among those that come within worthACoat of
// the nearest, and meet the target if any does; of several, the nearest.
func (a *area) nearest(all []ending) ending {
	least := all[0].deltaE
	for _, e := range all {
		least = min(least, e.deltaE)
	}
	most := least + worthACoat
	if least <= a.tolerance {
		most = min(most, a.tolerance)
	}
	var best *ending
	for i := range all {
		e := &all[i]
		if e.deltaE > most {
			continue
		}
		if best == nil || e.coats() < best.coats() || e.coats() == best.coats() && e.deltaE < best.deltaE {
			best = e
		}
	}
	return *best
}

// compare orders endings of a single coating by how near they come; those that come equally near,
// mostly since nothing is laid, by where one coat would lead.
func (a *area) compare(e, f ending) int {
	return cmp.Or(cmp.Compare(e.deltaE, f.deltaE), cmp.Compare(a.oneCoat(e).deltaE, a.oneCoat(f).deltaE))
}

func (a *area) oneCoat(e ending) ending {
	c := e.layers[0].coating
	s := c.Over(&a.ground, 1)
	return a.ending(&s, layer{c, 1})
}

// bestOf returns the best count of one coating, none included.
func (a *area) bestOf(c *Coating) ending {
	all := []ending{{[]layer{{c, 0}}, a.lab, colour.DeltaE2000(a.target, a.lab)}}
	for n := 1; n <= a.maxCoats; n++ {
		s := c.Over(&a.ground, float64(n))
		all = append(all, a.ending(&s, layer{c, n}))
	}
	return a.nearest(all)
}

// bestStack returns the best of two different coatings, each of at least one coat, in either
// order. It is not ok when there are none.
func (a *area) bestStack(shelf []*Coating) (best ending, ok bool) {
	var all []ending
	for i, under := range shelf {
		for n := 1; n < a.maxCoats; n++ {
			between := under.Over(&a.ground, float64(n))
			for j, over := range shelf {
				if j == i {
					continue
				}
				for m := 1; n+m <= a.maxCoats; m++ {
					s := over.Over(&between, float64(m))
					all = append(all, a.ending(&s, layer{under, n}, layer{over, m}))
				}
			}
		}
	}
	if len(all) == 0 {
		return best, false
	}
	return a.nearest(all), true
}

func (a *area) ending(s *colour.Spectrum, layers ...layer) ending {
	lab := s.Lab()
	return ending{layers, lab, colour.DeltaE2000(a.target, lab)}
}
