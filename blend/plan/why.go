package plan

import (
	"fmt"
	"math"
	"strings"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
)

const (
	lighterBy  = 1.0  // L* by which a colour must be lighter to count
	fraction   = 0.02 // of a coat, the step in which mixes of other strength are tried
	worthAMix  = 1.0  // ΔE00 that a thinner mix must gain to be mentioned
	paleOrBare = "only a paler pigment that hides, or bleach before any coat, can"
)

// A shortfall is why a target stays out of reach of the closest course, in the most probable
// world.
type shortfall struct {
	p      *planner
	a      *Area
	layers layers     // the closest; never empty: no coats of the first coating stand for nothing
	start  colour.Lab // all as seen
	target colour.Lab
	lab    colour.Lab // after the course
	deltaE float64
}

// shortfall says in plain words what keeps the target out of reach of the closest course, and what
// would help.
func (p *planner) shortfall(a *Area, closest layers) string {
	if len(closest) == 0 {
		closest = layers{{0, 0}}
	}
	v := p.best
	start, lab := v.appearanceOf(v.initial(a)).mean, v.final(a, closest).mean
	target := v.target(a)
	f := &shortfall{p, a, closest, start, target, lab, colour.DeltaE2000(target, lab)}
	return strings.Join(f.sentences(), "; ")
}

func (f *shortfall) sentences() []string {
	said := []string{fmt.Sprintf("left over: %s than the target (ΔE00 %.1f)",
		colour.DescribeDifference(f.target, f.lab), f.deltaE)}
	say := func(format string, args ...any) { said = append(said, fmt.Sprintf(format, args...)) }
	missing := func(from colour.Lab) {
		say("what is missing is a coating that makes it %s", colour.DescribeDifference(from, f.target))
	}

	tolerance := f.p.problem.Options.Tolerance
	woodTooDark := f.target.L > f.start.L+lighterBy && f.target.L > f.lab.L+lighterBy
	thinner := f.nearestFraction()
	switch {
	case woodTooDark && !f.anyLightens():
		say("no coating on the shelf lightens this wood, and thin dark coats never do")
		say(paleOrBare)
	case thinner.deltaE <= tolerance || thinner.deltaE <= f.deltaE-worthAMix:
		say("%s; %s", thinner.between(), thinner.advice())
		if thinner.deltaE > tolerance {
			missing(thinner.lab)
		}
	case f.layers.coats() == f.p.problem.Options.MaxCoats && f.stillNearing():
		say("%s are not enough, though each comes nearer", countCoats(f.p.problem.Options.MaxCoats))
		if furthest := f.furthest(); furthest.deltaE <= tolerance {
			say("a stronger mix or more coats would do")
		} else {
			say("a stronger mix or more coats would help, but never come nearer than ΔE00 %.1f", furthest.deltaE)
			missing(furthest.lab)
		}
	default:
		say("%s", f.howItEnds())
		missing(f.lab)
		if woodTooDark {
			say("to make it lighter, " + paleOrBare)
		}
	}
	return said
}

func (f *shortfall) top() *layer { return &f.layers[len(f.layers)-1] }

func (f *shortfall) coating(k int) *blend.Coating { return &f.p.best.sample.Coatings[k] }

// withTop is the colour, and its difference, where so many coats of a coating stand in for the
// uppermost layer.
func (f *shortfall) withTop(k int, coats float64) (colour.Lab, float64) {
	v := f.p.best
	b, over := v.initial(f.a), false
	for _, l := range f.layers[:len(f.layers)-1] {
		if l.count > 0 {
			b, over = b.coated(f.coating(l.coating), v.films(f.a, l.coating, l.count, over)[l.count]), true
		}
	}
	has, on := float64(f.a.has(k)), f.a.on(k)
	if over {
		has, on = 0, blend.Sealed
	}
	c := f.coating(k)
	l := v.appearanceOf(b.coated(c, c.Thickness(has+coats, on, nil)-c.Thickness(has, on, nil)))
	return l.mean, colour.DeltaE2000(f.target, l.mean)
}

// howItEnds says why more coats do not help.
func (f *shortfall) howItEnds() string {
	last := f.coating(f.top().coating)
	limit := last.Limit()
	_, beyond := f.withTop(f.top().coating, float64(f.top().count+1))
	switch end := limit.Lab(); {
	case f.layers.coats() == 0:
		return "every coating on the shelf leads away from the target"
	case beyond < f.deltaE && end.IsFinite():
		return fmt.Sprintf("more coats of %s hardly come nearer: so thick that nothing shows through, it is %v", last.Name, end)
	default:
		return fmt.Sprintf("that is the nearest %s comes; further coats lead away again", last.Name)
	}
}

// anyLightens reports whether any coating can make the area lighter, by any number of coats.
func (f *shortfall) anyLightens() bool {
	return f.p.lightens(f.a, f.start)
}

// lightens reports whether any coating of the shelf can make an area of colour start lighter.
func (p *planner) lightens(a *Area, start colour.Lab) bool {
	for k := range p.best.sample.Coatings {
		for _, l := range p.best.appearances(a, layers{{k, p.problem.Options.MaxCoats}}) {
			if l.mean.L > start.L+lighterBy {
				return true
			}
		}
	}
	return false
}

// A fractional is what a broken number of uppermost coats would come to.
type fractional struct {
	coating *blend.Coating
	coats   float64
	lab     colour.Lab
	deltaE  float64
}

func (b fractional) between() string {
	if b.coats <= 1 {
		return "the target falls short of one coat of " + b.coating.Name
	}
	whole := math.Ceil(b.coats)
	return fmt.Sprintf("the target falls between %g and %g coats of %s", whole-1, whole, b.coating.Name)
}

func (b fractional) advice() string {
	whole := math.Ceil(b.coats)
	return fmt.Sprintf("a mix thinned to %.0f %% of its strength would land nearer in %s (ΔE00 %.1f)",
		100*b.coats/whole, countCoats(int(whole)), b.deltaE)
}

// nearestFraction returns the nearest that broken coats of the uppermost layer come, within one
// coat of its count; where no coat is best, of any coating.
func (f *shortfall) nearestFraction() fractional {
	top := f.top()
	candidates := []int{top.coating}
	if f.layers.coats() == 0 {
		candidates = candidates[:0]
		for k := range f.p.best.sample.Coatings {
			candidates = append(candidates, k)
		}
	}
	nearest := fractional{f.coating(top.coating), float64(top.count), f.lab, f.deltaE}
	for _, k := range candidates {
		from, to := max(0, top.count-1), top.count+min(1, f.p.problem.Options.MaxCoats-f.layers.coats())
		for n := float64(from) + fraction; n < float64(to); n += fraction {
			if lab, d := f.withTop(k, n); d < nearest.deltaE {
				nearest = fractional{f.coating(k), n, lab, d}
			}
		}
	}
	return nearest
}

// stillNearing reports whether one coat more than allowed would come nearer.
func (f *shortfall) stillNearing() bool {
	_, beyond := f.withTop(f.top().coating, float64(f.top().count+1))
	return beyond < f.deltaE-worthACoat
}

// furthest is the nearest that ever more of the uppermost coating comes.
func (f *shortfall) furthest() fractional {
	k := f.top().coating
	best := fractional{f.coating(k), float64(f.top().count), f.lab, f.deltaE}
	for n := float64(f.top().count); n < learn.MaxCoats; n *= 1.05 {
		if lab, d := f.withTop(k, math.Round(n)); d < best.deltaE {
			best = fractional{f.coating(k), n, lab, d}
		}
	}
	return best
}

func countCoats(n int) string {
	if n == 1 {
		return "1 coat"
	}
	return fmt.Sprintf("%d coats", n)
}
