package plan

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"
	"slices"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/internal/parallel"
)

// A MixPlan is what to stir together for all areas, and how many coats of it each gets.
type MixPlan struct {
	Parts []MixPart
	Water int // parts of water, or of what the paints are thinned with, to those parts
	Areas []MixArea
	// DeltaE is the mean over the areas to their targets; where they have none, that of the two
	// areas that then differ most.
	DeltaE Spread
	Grain  float64 // the least share that an area keeps; NaN where nothing is known of it
}

// A MixPart is so many parts, by volume, of a coating as it comes out of its tin.
type MixPart struct {
	Coating string
	Parts   int
}

// A MixArea is what one area gets of a mix.
type MixArea struct {
	Name  string
	Coats int
	Water int // parts; the same for all areas where one mix serves them
	Lab   colour.Lab
	Grain float64
}

// A MixAnswer is the best of two ways to mix.
type MixAnswer struct {
	OneMix    *MixPlan // one mix, with a count for each area
	OneCount  *MixPlan // one count, with a dilution for each area
	MixedMore bool     // more than one paint: a first guess, to be tried on scrap
}

// Figures of a search for mixes. All but mostParts are our own choice.
const (
	mostParts    = 8    // of paint, all together: what a person measures out
	mostPaints   = 3    // in one mix
	mixShelf     = 4    // coatings that mixes are made of: more than that make too many mixes
	mixesTried   = 8    // at whole counts and whole parts of water
	mostMixCoats = 6    // of one mix on one area
	worthMixCoat = 0.15 // ΔE00 that one coat more of a mix on one area must gain
	// mixStrength is the standard deviation of the logarithm of how strong a paint is in a mix,
	// over what its share by volume lets expect. Of two measured paints weighed out between two
	// others one came out 2 ΔE00 away, a strong blue in white 14: see TestMixOfMeasuredPaints.
	mixStrength = 0.2
)

// waters are the parts of water to one part of paint that are tried: from a paint as it is to the
// thinnest wash of the trade, 1 to 20.
var waters = []float64{0, 0.5, 1, 1.5, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20}

// A paint is a coating as it comes out of its tin, by its place on the shelf.
type paint struct{ shelf, parts int }

// Mixes finds what to mix from the shelf: whole-number parts of up to three coatings, and water.
// shares is the paint's share in the mix that each coating of the shelf stands for, 0–1. Where only
// some areas have a target, the mix is for those. It
// returns the errors of PlanPiece, and nil for a way to mix that the shelf does not allow.
func Mixes(ctx context.Context, w *learn.Samples, ask Problem, shares []float64) (*MixAnswer, error) {
	if err := ask.check(w); err != nil {
		return nil, err
	}
	ask.Options.fill()
	m := &mixer{planner: newPlanner(w, &ask), shares: shares}
	aimed := slices.ContainsFunc(ask.Areas, func(a Area) bool { return a.Target != None })
	for i := range ask.Areas {
		if a := &ask.Areas[i]; !aimed || a.Target != None {
			m.areas = append(m.areas, a)
		}
	}
	recipes, err := m.shortlist(ctx)
	if err != nil {
		return nil, err
	}
	if len(recipes) == 0 {
		return &MixAnswer{}, nil
	}
	answer := &MixAnswer{}
	if answer.OneMix, err = m.oneMix(ctx, recipes); err != nil {
		return nil, err
	}
	if answer.OneCount, err = m.oneCount(ctx, recipes); err != nil {
		return nil, err
	}
	for _, p := range []*MixPlan{answer.OneMix, answer.OneCount} {
		answer.MixedMore = answer.MixedMore || p != nil && len(p.Parts) > 1
	}
	return answer, nil
}

type mixer struct {
	*planner
	shares []float64
	areas  []*Area
}

// recipes are all whole-number mixes of up to three coatings that may be stirred together, in
// their lowest terms.
func (m *mixer) recipes() (all [][]paint) {
	shelf := m.mixable()
	var add func(from, left int, r []paint)
	add = func(from, left int, r []paint) {
		if len(r) > 0 && lowestTerms(r) {
			all = append(all, slices.Clone(r))
		}
		if len(r) == mostPaints {
			return
		}
		for i := from; i < len(shelf); i++ {
			if len(r) > 0 && !m.compatible(r[0].shelf, shelf[i]) {
				continue
			}
			for parts := 1; parts <= left; parts++ {
				add(i+1, left-parts, append(r, paint{shelf[i], parts}))
			}
		}
	}
	add(0, mostParts, nil)
	return all
}

// mixable are the coatings that mixes are made of: of a large shelf, those that come nearest by
// themselves.
func (m *mixer) mixable() []int {
	var shelf []int
	for k := range m.best.sample.Coatings {
		if !slices.ContainsFunc(m.areas, func(a *Area) bool { return !m.layersMayLie(a, layers{{k, 1}}) }) {
			shelf = append(shelf, k)
		}
	}
	if len(shelf) <= mixShelf {
		return shelf
	}
	cost := make([]float64, len(m.best.sample.Coatings))
	for _, k := range shelf {
		cost[k] = m.costAtBestThickness([]paint{{k, 1}})
	}
	slices.SortStableFunc(shelf, func(a, b int) int { return cmp.Compare(cost[a], cost[b]) })
	return shelf[:mixShelf]
}

// compatible reports whether two coatings may be stirred together: what is thinned with the same, or
// not known.
func (m *mixer) compatible(a, b int) bool {
	f, g := m.best.sample.Coatings[a].Family, m.best.sample.Coatings[b].Family
	return f == g || f == "" || g == ""
}

func lowestTerms(r []paint) bool {
	d := 0
	for _, p := range r {
		for a, b := d, p.parts; ; a, b = b, a%b {
			if b == 0 {
				d = a
				break
			}
		}
	}
	return d == 1
}

func sumParts(r []paint) (n int) {
	for _, p := range r {
		n += p.parts
	}
	return n
}

// mixture is a mix in a world, one coat of it as it comes out of the tins. strength is how strong
// each paint turns out in it.
func (m *mixer) mixture(v model, r []paint, strength []float64) *blend.Coating {
	parts := make([]blend.Part, len(r))
	for i, p := range r {
		pure := v.sample.Coatings[p.shelf].Strength(strength[i] / m.shareOf(p.shelf))
		parts[i] = blend.Part{Coating: pure, Parts: float64(p.parts)}
	}
	first := parts[0].Coating
	return blend.Mix(first.Name, first.Kind, parts...)
}

func (m *mixer) shareOf(k int) float64 {
	if k < len(m.shares) && m.shares[k] > 0 {
		return m.shares[k]
	}
	return 1
}

// nominal is every paint as strong as its share.
func nominal(r []paint) []float64 {
	s := make([]float64, len(r))
	for i := range s {
		s[i] = 1
	}
	return s
}

// drawStrengths is how strong each paint turns out in a mix in one world. A paint by itself is as it was
// learned.
func (m *mixer) drawStrengths(v model, r []paint) []float64 {
	s := nominal(r)
	if len(r) < 2 || v.sample.Seed == 0 {
		return s
	}
	for i, p := range r {
		rng := rand.New(rand.NewPCG(v.sample.Seed, learn.SeedOf("mix", v.sample.Coatings[p.shelf].Name)))
		s[i] = math.Exp(mixStrength * rng.NormFloat64())
	}
	return s
}

// thicknesses are what mixes are first tried at, in coats of what comes out of the tin: from a
// thin coat of the thinnest wash to more than hides.
var thicknesses = func() (x []float64) {
	x = []float64{0}
	for t := 0.02; t < 8; t *= 1.22 {
		x = append(x, t)
	}
	return x
}()

// costAtBestThickness is what a mix costs at the thickness that does best on each area, whatever the
// number of coats.
func (m *mixer) costAtBestThickness(r []paint) float64 {
	c := m.mixture(m.best, r, nominal(r))
	in := &searchSpace{tolerance: 0, appearances: make([][]appearance, len(m.areas)), grain: make([][]float64, len(m.areas))}
	for i := range thicknesses {
		in.options = append(in.options, layers{{0, i}})
	}
	for i, a := range m.areas {
		start := m.best.initial(a)
		for _, x := range thicknesses {
			in.appearances[i] = append(in.appearances[i], m.best.appearanceOf(start.coated(c, x)))
		}
		before := m.best.baseline(a)
		for _, l := range in.appearances[i] {
			in.grain[i] = append(in.grain[i], l.keeps(&before))
		}
	}
	_, cost := m.bestOf(in)
	return cost
}

// bestOf finds the best course for each area, and the cost of them together: the mean to the
// targets, or the worst pair where there are none. It keeps the least grain asked for where
// that can be.
func (m *mixer) bestOf(in *searchSpace) ([]int, float64) {
	least := m.problem.Options.LeastGrain
	enough := func(i, c int) bool { return !(in.grain[i][c] < least-1e-9) }
	if m.areas[0].Target == None {
		in.comparePairs()
		at := in.minimise(enough) // laying nothing is always allowed
		worst, _ := in.worstPair(at)
		return at, worst
	}
	at, sum := make([]int, len(m.areas)), 0.0
	for i, a := range m.areas {
		target, least := m.best.target(a), math.Inf(1)
		for c := range in.options {
			d := colour.DeltaE2000(target, in.appearances[i][c].mean) + worthMixCoat*in.weight(c)
			if enough(i, c) && d < least {
				at[i], least = c, d
			}
		}
		sum += least / float64(len(m.areas))
	}
	return at, sum
}

// weight is the coats that a course costs; a thickness that is not yet made of coats costs none.
func (in *searchSpace) weight(c int) float64 {
	if in.tolerance == 0 {
		return 0
	}
	return float64(in.options[c].coats())
}

// A recipe is a mix with what it costs at its best.
type recipe struct {
	paints []paint
	cost   float64
}

// shortlist are the mixes that come nearest at whatever thickness; of those about as near, the
// ones of fewer paints and parts first.
func (m *mixer) shortlist(ctx context.Context) ([]recipe, error) {
	list := m.recipes()
	all := make([]recipe, len(list))
	if err := parallel.For(ctx, len(list), func(i int) {
		all[i] = recipe{list[i], m.costAtBestThickness(list[i]) + worthACoating/2*float64(len(list[i])-1)}
	}); err != nil {
		return nil, err
	}
	slices.SortStableFunc(all, func(a, b recipe) int {
		return cmp.Or(cmp.Compare(a.cost, b.cost), cmp.Compare(sumParts(a.paints), sumParts(b.paints)))
	})
	return all[:min(mixesTried, len(all))], nil
}
