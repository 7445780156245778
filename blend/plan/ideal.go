package plan

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/optimize"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/parallel"
	"huewright/internal/stat"
)

// An IdealCoating is the coating, on no shelf as far as is known, that would bring all areas of a piece to one colour with the least: see
// [Ideal]. It is an idea of what to look for: paints of that colour are other paints, so that a test coat is laid first.
type IdealCoating struct {
	On      string     // the palest area
	OneCoat colour.Lab // of one coat on it, as it is measured then: without the clear coat to come
	Tint    colour.Lab // of three coats over white: what to call it by
	Coating blend.Coating
	Hiding  float64 // contrast ratio of one coat: its luminance over black to that over white, 0 for what is clear, 1 for what hides
	Areas   []IdealArea
	End     colour.Lab // that is held: the target or, without one, the darkest area, as it will be seen
	Leaves  float64    // largest difference of an area from End then, ΔE00
	Without float64    // the same as the areas are
	Width   float64    // ΔE00 from OneCoat within which lie nine in ten of the coatings that do as well, by 0.5 ΔE00
	Helps   bool       // it leaves clearly less than the suggested plan: else no coating would help much
}

// An IdealArea is what an ideal coating does on one area.
type IdealArea struct {
	Name   string
	Coats  int
	DeltaE float64 // from the end
	Grain  float64 // share kept; NaN where there is none
}

// Figures of the search for an ideal coating. Our own choice.
const (
	leavesMuch   = 4.0 // ΔE00 from which a plan asks for another coating: what is seen at arm's length
	mostHiding   = 0.3 // scattering of one coat: more is paint, which ends all differences by ending the wood
	leastHiding  = 0.002
	idealSurface = 0.25 // as is expected of a coating of which nothing is known; see learn.priorOf
	asGoodIdeal  = 0.5  // ΔE00 of cost
	idealStarts  = 3
	idealTrials  = 90  // of each start
	widthTrials  = 160 // of films about the best
	steepestFilm = 2.5
	crookedFilm  = 1.5
	thinnestFilm = -7.0
	thickestFilm = 1.0
)

// A filmShape are the parameters of a film of smooth absorption: ln K is a parabola over the wavelengths, level, slope and bend over
// −1 to 1 from 400 to 700 nm; the last is ln S, alike at all wavelengths.
type filmShape [4]float64

// film is one coat of a shape; what is out of bounds is brought within them.
func (x filmShape) film() *blend.Coating {
	c := &blend.Coating{Kind: "glaze", Surface: idealSurface}
	for i := range c.Films {
		t := min(max((float64(spectra.FirstBand+i*spectra.BandStep)-550)/150, -1), 1)
		c.Films[i] = blend.Film{K: math.Exp(x[0] + x[1]*t + x[2]*t*t), S: math.Exp(x[3])}
	}
	return c
}

// outside is how far a shape is out of bounds.
func (x filmShape) outside() (sum float64) {
	for i, b := range [4][2]float64{{thinnestFilm, thickestFilm}, {-steepestFilm, steepestFilm}, {-crookedFilm, crookedFilm},
		{math.Log(leastHiding), math.Log(mostHiding)}} {
		sum += max(0, b[0]-x[i], x[i]-b[1])
	}
	return sum
}

// A pricedShape is a shape and its cost.
type pricedShape struct {
	filmShape
	cost float64
}

// Ideal searches the coating that brings the areas of a piece, of those that the suggested plan leaves furthest apart, to one held
// colour: their target or, without one, the darkest of them. What is minimised is what a plan minimises, and grain; hiding is
// capped, since paint makes all alike. It is nil where the plan leaves less than what is seen at arm's length, and where no number
// of coats is looked for. It returns the errors of [Make].
func Ideal(ctx context.Context, w *learn.Samples, problem Problem, plan *Plan) (*IdealCoating, error) {
	choice := &plan.Choices[0]
	if choice.Worst.Median < leavesMuch {
		return nil, nil
	}
	if err := problem.check(w); err != nil {
		return nil, err
	}
	problem.Options.fill()
	p := newPlanner(w, &problem)
	h := p.holdEnd(choice)
	if !slices.ContainsFunc(h.areas, p.takes) {
		return nil, nil
	}
	best, all, err := h.search(ctx)
	if err != nil {
		return nil, err
	}
	return h.ideal(best, all, choice.Worst.Median), nil
}

// search returns the shape of least cost, and those that were found to do as well.
func (h *heldEnd) search(ctx context.Context) (best pricedShape, asGood []pricedShape, err error) {
	var starts []pricedShape
	for _, level := range []float64{-3.5, -2.3, -1.2} {
		for _, slope := range []float64{-1.5, -0.5, 0.5} {
			for _, hiding := range []float64{0.005, 0.04, 0.15} {
				starts = append(starts, pricedShape{filmShape: filmShape{level, slope, 0, math.Log(hiding)}})
			}
		}
	}
	if err := parallel.For(ctx, len(starts), func(i int) { starts[i].cost = h.costOf(starts[i].filmShape) }); err != nil {
		return best, nil, err
	}
	slices.SortStableFunc(starts, func(x, y pricedShape) int { return cmp.Compare(x.cost, y.cost) })
	starts = starts[:idealStarts]
	if err := parallel.For(ctx, len(starts), func(i int) { starts[i] = h.descend(starts[i]) }); err != nil {
		return best, nil, err
	}
	best = slices.MinFunc(starts, func(x, y pricedShape) int { return cmp.Compare(x.cost, y.cost) })
	return best, h.wander(best), ctx.Err()
}

// costOf is what a shape costs; out of bounds it rises steeply.
func (h *heldEnd) costOf(x filmShape) float64 {
	const steep = 100
	if out := x.outside(); out > 0 {
		return 1000 + steep*out
	}
	return h.judge(x.film()).cost
}

// descend improves a shape by the downhill simplex method.
//
// Source: Nelder and Mead (1965), Comput. J. 7(4), 308–313, as gonum has it.
func (h *heldEnd) descend(from pricedShape) pricedShape {
	result, err := optimize.Minimize(
		optimize.Problem{Func: func(x []float64) float64 { return h.costOf(filmShape(x)) }}, from.filmShape[:],
		&optimize.Settings{FuncEvaluations: idealTrials}, &optimize.NelderMead{SimplexSize: 0.4})
	if err != nil || result.F >= from.cost {
		return from
	}
	return pricedShape{filmShape(result.X), result.F}
}

// wander walks at random among the shapes that cost little more than the best: the Metropolis algorithm on a flat density, from a
// fixed seed.
func (h *heldEnd) wander(best pricedShape) (visited []pricedShape) {
	rng := rand.New(rand.NewPCG(learn.SeedOf("ideal"), 1))
	here, step := best, 0.3
	for range widthTrials {
		next := here
		for i := range next.filmShape {
			next.filmShape[i] += step * rng.NormFloat64()
		}
		if next.cost = h.costOf(next.filmShape); next.cost <= best.cost+asGoodIdeal {
			here, step = next, step*1.3
		} else {
			step *= 0.9 // about one in three is taken
		}
		visited = append(visited, here)
	}
	return visited
}

// ideal says what a shape does; plan is what the suggested plan leaves.
func (h *heldEnd) ideal(best pricedShape, asGood []pricedShape, plan float64) *IdealCoating {
	c := best.film()
	v := h.judge(c)
	pale := h.palest()
	id := &IdealCoating{On: pale.Name, OneCoat: h.oneCoat(c, pale), Coating: *c, Hiding: ContrastRatio(c), End: h.end, Leaves: v.worst()}
	id.Tint = tint(c)
	for at := range h.bare {
		id.Without = max(id.Without, colour.DeltaE2000(h.end, h.bare[at].mean))
	}
	id.Areas = h.areasOf(v)
	var off []float64
	for _, x := range asGood {
		off = append(off, colour.DeltaE2000(id.OneCoat, h.oneCoat(x.film(), pale)))
	}
	id.Width = stat.Quantile(off, 0.9)
	id.Helps = id.Leaves < plan-worthACoating
	return id
}

// areasOf says what a verdict lays on every area, and what comes of it.
func (h *heldEnd) areasOf(v *verdict) (all []IdealArea) {
	for at, unit := range h.areas {
		for _, i := range h.p.like[unit] {
			all = append(all, IdealArea{h.p.problem.Areas[i].Name, v.coats[at], v.deltaE[at], v.grain[at]})
		}
	}
	return all
}

// palest is the lightest of the areas that may be coated.
func (h *heldEnd) palest() (pale *Area) {
	light := math.Inf(-1)
	for _, i := range h.areas {
		a := h.area(i)
		mean := h.with.sample.Colours[a.Mean]
		if c := mean.Lab(); h.p.takes(i) && c.L > light {
			pale, light = a, c.L
		}
	}
	if pale == nil {
		pale = h.area(h.areas[0])
	}
	return pale
}

// oneCoat is what an area is measured as under one coat, without the clear coat to come.
func (h *heldEnd) oneCoat(c *blend.Coating, a *Area) colour.Lab {
	m := h.with.withCoating(c)
	s := m.lay(a, layers{{len(h.p.shelf()), 1}}, nil)
	return s.mean.Lab()
}

// tint is the colour of three coats over white.
func tint(c *blend.Coating) colour.Lab {
	var white spectra.Spectrum
	for i := range white {
		white[i] = cardWhite
	}
	s := c.Over(&white, 3)
	return s.Lab()
}

// ContrastRatio returns how far one coat hides, as opacity charts tell it: its luminance over black to that over white.
func ContrastRatio(c *blend.Coating) float64 {
	var black, white spectra.Spectrum
	for i := range white {
		black[i], white[i] = cardBlack, cardWhite
	}
	over := func(ground *spectra.Spectrum) float64 {
		s := c.Over(ground, 1)
		return s.XYZ(spectra.LightD65).Y
	}
	bare := cardBlack / cardWhite
	return max(0, (over(&black)/over(&white)-bare)/(1-bare))
}
