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
	fraction   = 0.02 // of a coat, the step in which mixes of other strength are tried
	worthAMix  = 1.0  // ΔE00 that a thinner mix must gain to be mentioned
	paleOrBare = "only a paler pigment that hides, or bleach before any coat, can"
)

// A shortfall is why even the closest layers leave the target out of reach, in the best sample. All colours are as seen.
type shortfall struct {
	p      *planner
	a      *Area
	layers layers // the closest; never empty: no coats of the first coating stand for nothing
	start  colour.Lab
	target colour.Lab
	lab    colour.Lab // under the layers
	deltaE float64
}

// shortfall says in plain words what keeps the target out of reach of the closest layers, and what would help.
func (p *planner) shortfall(a *Area, closest layers) string {
	if len(closest) == 0 {
		closest = layers{{0, 0}}
	}
	start, lab, target := p.best.appearanceOf(p.best.initial(a)).mean, p.best.final(a, closest).mean, p.best.target(a)
	f := &shortfall{p, a, closest, start, target, lab, colour.DeltaE2000(target, lab)}
	return strings.Join(f.sentences(), "; ")
}

func (f *shortfall) sentences() []string {
	said := []string{fmt.Sprintf("left over: %s than the target (ΔE00 %.1f)", colour.DescribeDifference(f.target, f.lab), f.deltaE)}
	say := func(format string, args ...any) { said = append(said, fmt.Sprintf(format, args...)) }
	missing := func(from colour.Lab) {
		say("what is missing is a coating that makes it %s", colour.DescribeDifference(from, f.target))
	}

	options := &f.p.problem.Options
	woodTooDark := f.target.L > f.start.L+lighterBy && f.target.L > f.lab.L+lighterBy
	thinner := f.nearestFraction()
	switch {
	case woodTooDark && !f.p.lightens(f.a, f.start):
		say("no coating on the shelf lightens this wood, and thin dark coats never do")
		say(paleOrBare)
	case thinner.deltaE <= options.Tolerance || thinner.deltaE <= f.deltaE-worthAMix:
		say("%s; %s", thinner.between(), thinner.advice())
		if thinner.deltaE > options.Tolerance {
			missing(thinner.lab)
		}
	case f.layers.coats() == options.MaxCoats && f.oneMore() < f.deltaE-worthACoat:
		say("%s are not enough, though each comes nearer", CoatWords(options.MaxCoats))
		if furthest := f.furthest(); furthest.deltaE <= options.Tolerance {
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

func (f *shortfall) top() *Layer { return &f.layers[len(f.layers)-1] }

func (f *shortfall) coating(k int) *blend.Coating { return &f.p.shelf()[k] }

// withTop returns what comes of so many coats of coating k, a fraction allowed, in place of the uppermost layer.
func (f *shortfall) withTop(k int, coats float64) fractional {
	under := f.layers[:len(f.layers)-1]
	has, on := float64(f.a.has(k)), f.a.on(k)
	if under.coats() > 0 {
		has, on = 0, blend.Sealed
	}
	m, c := f.p.best, f.coating(k)
	seen := m.appearanceOf(m.lay(f.a, under, nil).coated(c, c.Thickness(has+coats, on, nil)-c.Thickness(has, on, nil)))
	return fractional{c, coats, seen.mean, colour.DeltaE2000(f.target, seen.mean)}
}

// oneMore returns the ΔE00 after one coat more of the uppermost coating.
func (f *shortfall) oneMore() float64 {
	return f.withTop(f.top().Coating, float64(f.top().Coats+1)).deltaE
}

// howItEnds says why more coats do not help.
func (f *shortfall) howItEnds() string {
	last := f.coating(f.top().Coating)
	limit := last.Limit()
	switch end := limit.Lab(); {
	case f.layers.coats() == 0:
		return "every coating on the shelf leads away from the target"
	case f.oneMore() < f.deltaE && end.IsFinite():
		return fmt.Sprintf("more coats of %s hardly come nearer: so thick that nothing shows through, it is %v", last.Name, end)
	default:
		return fmt.Sprintf("that is the nearest %s comes; further coats lead away again", last.Name)
	}
}

// A fractional is what a fraction of coats in the uppermost layer comes to.
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
		100*b.coats/whole, CoatWords(int(whole)), b.deltaE)
}

// asPlanned is the uppermost layer as it is.
func (f *shortfall) asPlanned() fractional {
	return fractional{f.coating(f.top().Coating), float64(f.top().Coats), f.lab, f.deltaE}
}

// nearestFraction returns the nearest that fractions of the uppermost layer come, within one coat of its count; where no
// coat is best, of any coating.
func (f *shortfall) nearestFraction() fractional {
	top := f.top()
	coatings := []int{top.Coating}
	if f.layers.coats() == 0 {
		coatings = coatings[:0]
		for k := range f.p.shelf() {
			coatings = append(coatings, k)
		}
	}
	nearest := f.asPlanned()
	from, to := max(0, top.Coats-1), top.Coats+min(1, f.p.problem.Options.MaxCoats-f.layers.coats())
	for _, k := range coatings {
		for n := float64(from) + fraction; n < float64(to); n += fraction {
			if there := f.withTop(k, n); there.deltaE < nearest.deltaE {
				nearest = there
			}
		}
	}
	return nearest
}

// furthest returns the nearest that ever more of the uppermost coating comes.
func (f *shortfall) furthest() fractional {
	best := f.asPlanned()
	for n := best.coats; n < learn.MaxCoats; n *= 1.05 {
		if there := f.withTop(f.top().Coating, math.Round(n)); there.deltaE < best.deltaE {
			best = there
		}
	}
	return best
}
