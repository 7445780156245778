package blend

import (
	"fmt"
	"math"
	"strings"

	"huewright/colour"
)

const (
	lighterBy  = 1.0  // L* by which a colour must be lighter to count
	fraction   = 0.02 // of a coat, the step in which mixes of other strength are tried
	worthAMix  = 1.0  // ΔE00 that a thinner mix must gain to be mentioned
	paleOrBare = "only a paler pigment that hides, or bleach before any coat, can"
)

// why says in plain words what keeps the target out of reach of the best ending, and what
// would help.
func (a *area) why(best ending, shelf []*Coating) string {
	said := []string{fmt.Sprintf("left over: %s than the target (ΔE00 %.1f)",
		colour.DescribeDifference(a.target, best.lab), best.deltaE)}
	say := func(format string, args ...any) { said = append(said, fmt.Sprintf(format, args...)) }
	missing := func(from colour.Lab) {
		say("what is missing is a coating that makes it %s", colour.DescribeDifference(from, a.target))
	}

	woodTooDark := a.target.L > a.lab.L+lighterBy && a.target.L > best.lab.L+lighterBy
	thinner := a.betweenCoats(best, shelf)
	switch {
	case woodTooDark && !a.anyLightens(shelf):
		say("no coating on the shelf lightens this wood, and thin dark coats never do")
		say(paleOrBare)
	case thinner.deltaE <= a.tolerance || thinner.deltaE <= best.deltaE-worthAMix:
		say("%s; %s", thinner.between(), thinner.advice())
		if thinner.deltaE > a.tolerance {
			missing(thinner.lab)
		}
	case best.coats() == a.maxCoats && a.stillNearing(best):
		say("%s are not enough, though each comes nearer", countCoats(a.maxCoats))
		if furthest := a.endOf(best); furthest.deltaE <= a.tolerance {
			say("a stronger mix or more coats would do")
		} else {
			say("a stronger mix or more coats would help, but never come nearer than ΔE00 %.1f", furthest.deltaE)
			missing(furthest.lab)
		}
	default:
		say("%s", a.howItEnds(best))
		missing(best.lab)
		if woodTooDark {
			say("to make it lighter, " + paleOrBare)
		}
	}
	return strings.Join(said, "; ")
}

// howItEnds says why more coats do not help.
func (a *area) howItEnds(best ending) string {
	last := best.layers[len(best.layers)-1].coating
	limit := last.Limit()
	switch end := limit.Lab(); {
	case best.coats() == 0:
		return "every coating on the shelf leads away from the target"
	case a.walk(best, last).Beyond.DeltaE < best.deltaE && end.IsFinite():
		return fmt.Sprintf("more coats of %s hardly come nearer: so thick that nothing shows through, it is %v", last.Name, end)
	default:
		return fmt.Sprintf("that is the nearest %s comes; further coats lead away again", last.Name)
	}
}

// anyLightens reports whether any coating can make the area lighter, by any number of coats.
func (a *area) anyLightens(shelf []*Coating) bool {
	for _, c := range shelf {
		for n := 1; n <= a.maxCoats; n++ {
			s := c.Over(&a.ground, float64(n))
			if s.Lab().L > a.lab.L+lighterBy {
				return true
			}
		}
	}
	return false
}

// A betweenEnd is what a broken number of uppermost coats would come to.
type betweenEnd struct {
	coating *Coating
	coats   float64
	lab     colour.Lab
	deltaE  float64
}

func (b betweenEnd) between() string {
	if b.coats <= 1 {
		return "the target falls short of one coat of " + b.coating.Name
	}
	whole := math.Ceil(b.coats)
	return fmt.Sprintf("the target falls between %g and %g coats of %s", whole-1, whole, b.coating.Name)
}

func (b betweenEnd) advice() string {
	whole := math.Ceil(b.coats)
	return fmt.Sprintf("a mix thinned to %.0f %% of its strength would land nearer in %s (ΔE00 %.1f)",
		100*b.coats/whole, countCoats(int(whole)), b.deltaE)
}

// betweenCoats returns the nearest that broken coats of the uppermost layer come, within one
// coat of its count; where no coat is best, of any coating.
func (a *area) betweenCoats(best ending, shelf []*Coating) betweenEnd {
	under, top := a.under(best), best.layers[len(best.layers)-1]
	candidates := []*Coating{top.coating}
	if best.coats() == 0 {
		candidates = shelf
	}
	nearest := betweenEnd{top.coating, float64(top.count), best.lab, best.deltaE}
	for _, c := range candidates {
		from, to := max(0, top.count-1), top.count+min(1, a.maxCoats-best.coats())
		for n := float64(from) + fraction; n < float64(to); n += fraction {
			s := c.Over(&under, n)
			if e := a.ending(&s); e.deltaE < nearest.deltaE {
				nearest = betweenEnd{c, n, e.lab, e.deltaE}
			}
		}
	}
	return nearest
}

// stillNearing reports whether one coat more than allowed would come nearer.
func (a *area) stillNearing(best ending) bool {
	plan := a.walk(best, best.layers[0].coating)
	return plan.Beyond.DeltaE < best.deltaE-worthACoat
}

// endOf returns the nearest that ever more of the uppermost coating comes.
func (a *area) endOf(best ending) ending {
	top := best.layers[len(best.layers)-1]
	under := a.under(best)
	for n := float64(top.count); n < mostCoats; n *= 1.05 {
		s := top.coating.Over(&under, n)
		if e := a.ending(&s, top); e.deltaE < best.deltaE {
			best = e
		}
	}
	return best
}

// under is what the uppermost coating of an ending is laid on.
func (a *area) under(e ending) colour.Spectrum {
	s := a.ground
	for _, l := range e.layers[:len(e.layers)-1] {
		s = l.coating.Over(&s, float64(l.count))
	}
	return s
}

func countCoats(n int) string {
	if n == 1 {
		return "1 coat"
	}
	return fmt.Sprintf("%d coats", n)
}
