package plan

import (
	"math"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/internal/fault"
)

const (
	fraction  = 0.02 // of a coat, the step in which mixes of other strength are tried
	worthAMix = 1.0  // ΔE00 that a thinner mix must gain to be mentioned
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

// shortfall tells what keeps the target out of reach of the closest layers, and what would help.
func (p *planner) shortfall(a *Area, closest layers) []fault.Note {
	if len(closest) == 0 {
		closest = layers{{0, 0}}
	}
	start, lab, target := p.best.appearanceOf(p.best.initial(a)).mean, p.best.final(a, closest).mean, p.best.target(a)
	f := &shortfall{p, a, closest, start, target, lab, colour.DeltaE2000(target, lab)}
	return f.notes()
}

func (f *shortfall) notes() []fault.Note {
	said := []fault.Note{fault.Say("plan.left-over", "difference", colour.DescribeDifference(f.target, f.lab), "delta", f.deltaE)}
	say := func(code fault.Code, values ...any) { said = append(said, fault.Say(code, values...)) }
	missing := func(from colour.Lab) { say("plan.missing", "difference", colour.DescribeDifference(from, f.target)) }

	options := &f.p.problem.Options
	woodTooDark := f.target.L > f.start.L+lighterBy && f.target.L > f.lab.L+lighterBy
	thinner := f.nearestFraction()
	switch {
	case woodTooDark && !f.p.lightens(f.a, f.start):
		say("plan.nothing-lightens")
		said = append(said, f.lighter())
	case thinner.deltaE <= options.Tolerance || thinner.deltaE <= f.deltaE-worthAMix:
		said = append(said, thinner.between(), thinner.advice())
		if thinner.deltaE > options.Tolerance {
			missing(thinner.lab)
		}
	case f.layers.coats() == options.MaxCoats && f.oneMore() < f.deltaE-worthACoat:
		say("plan.too-few-coats", "coats", options.MaxCoats)
		if furthest := f.furthest(); furthest.deltaE <= options.Tolerance {
			say("plan.stronger-does")
		} else {
			say("plan.stronger-helps", "delta", furthest.deltaE)
			missing(furthest.lab)
		}
	default:
		said = append(said, f.howItEnds())
		missing(f.lab)
		if woodTooDark {
			said = append(said, f.lighter())
		}
	}
	return said
}

// lighter is what makes a wood lighter. Bleach works on bare wood only.
func (f *shortfall) lighter() fault.Note {
	if len(f.a.Laid) > 0 || f.a.Surface != blend.Bare && f.a.Surface != "" {
		return fault.Say("plan.paler-paint")
	}
	return fault.Say("plan.paler-paint-or-bleach")
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
	ground := m.ground(m.lay(f.a, under, nil), f.a, k, under.coats() > 0)
	seen := m.appearanceOf(ground.coated(c, c.Thickness(has+coats, on, nil)-c.Thickness(has, on, nil)))
	return fractional{c, coats, seen.mean, colour.DeltaE2000(f.target, seen.mean)}
}

// oneMore returns the ΔE00 after one coat more of the uppermost coating.
func (f *shortfall) oneMore() float64 {
	return f.withTop(f.top().Coating, float64(f.top().Coats+1)).deltaE
}

// howItEnds is why more coats do not help.
func (f *shortfall) howItEnds() fault.Note {
	last := f.coating(f.top().Coating)
	limit := last.Limit()
	switch end := limit.Lab(); {
	case f.layers.coats() == 0:
		return fault.Say("plan.all-lead-away")
	case f.oneMore() < f.deltaE && end.IsFinite():
		return fault.Say("plan.more-hardly-helps", "coating", last.Name)
	default:
		return fault.Say("plan.more-leads-away", "coating", last.Name)
	}
}

// A fractional is what a fraction of coats in the uppermost layer comes to.
type fractional struct {
	coating *blend.Coating
	coats   float64
	lab     colour.Lab
	deltaE  float64
}

func (b fractional) between() fault.Note {
	whole := int(math.Ceil(b.coats))
	if whole <= 1 {
		return fault.Say("plan.under-one-coat", "coating", b.coating.Name)
	}
	return fault.Say("plan.between-coats", "low", whole-1, "high", whole, "coating", b.coating.Name)
}

func (b fractional) advice() fault.Note {
	whole := math.Ceil(b.coats)
	mix, thinner := strengthParts(b.coats / whole)
	return fault.Say("plan.thin-the-mix", "mix", mix, "thinner", thinner, "family", string(b.coating.Family), "coats", int(whole),
		"delta", b.deltaE)
}

// asPlanned is the uppermost layer as it is.
func (f *shortfall) asPlanned() fractional {
	return fractional{f.coating(f.top().Coating), float64(f.top().Coats), f.lab, f.deltaE}
}

// nearestFraction returns the nearest that fractions of the uppermost layer come, within one coat of its count; where no
// coat is best, of any coating. A fraction that only a mix of nearly full strength makes is none.
func (f *shortfall) nearestFraction() fractional {
	top := f.top()
	coatings := []int{top.Coating}
	if f.layers.coats() == 0 {
		coatings = coatings[:0]
		for k := range f.p.shelf() {
			if f.p.problem.coats(k) {
				coatings = append(coatings, k)
			}
		}
	}
	nearest := f.asPlanned()
	from, to := max(0, top.Coats-1), top.Coats+min(1, f.p.problem.Options.MaxCoats-f.layers.coats())
	for _, k := range coatings {
		for n := float64(from) + fraction; n < float64(to); n += fraction {
			if _, thinner := strengthParts(n / math.Ceil(n)); thinner == 0 {
				continue
			}
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
