package plan

import (
	"cmp"
	"context"
	"slices"

	"huewright/blend"
	"huewright/internal/parallel"
)

// Figures of a search for mixes. All but mostParts are our own choice.
const (
	mostParts   = 8   // of paint, all together: what a person measures out
	mostPaints  = 3   // in one mix
	mixShelf    = 4   // coatings that mixes are made of: more than that make too many mixes
	mixesTried  = 8   // at whole counts and whole parts of water
	worthAPaint = 0.5 // ΔE00 that a further paint in a mix must gain
)

// A mixer is a planner for mixes.
type mixer struct {
	*planner
	shares []float64 // the paint's share in the mix that each coating stands for
	units  []int     // by index: those that are searched
	areas  []*Area   // the same
}

// A paint is some parts of a coating as it comes out of its tin, by its index on the shelf.
type paint struct{ shelf, parts int }

// A recipe is what is stirred together.
type recipe []paint

func (r recipe) parts() (n int) {
	for _, p := range r {
		n += p.parts
	}
	return n
}

// price is the ΔE00 that a recipe must gain over one of a single paint.
func (r recipe) price() float64 { return worthAPaint * float64(len(r)-1) }

func (r recipe) lowestTerms() bool {
	divisor := 0
	for _, p := range r {
		for a, b := divisor, p.parts; ; a, b = b, a%b {
			if b == 0 {
				divisor = a
				break
			}
		}
	}
	return divisor == 1
}

// thinned returns the paints' share of the mix with so many parts of water.
func (r recipe) thinned(water int) float64 { return float64(r.parts()) / float64(r.parts()+water) }

// recipesOf are all whole-number mixes of up to so many paints and so many parts, of coatings of the shelf that may be stirred together,
// in their lowest terms.
func (p *planner) recipesOf(shelf []int, paints, parts int) (all []recipe) {
	var add func(from, left int, r recipe)
	add = func(from, left int, r recipe) {
		if len(r) > 0 && r.lowestTerms() {
			all = append(all, slices.Clone(r))
		}
		if len(r) == paints {
			return
		}
		for i := from; i < len(shelf); i++ {
			if len(r) > 0 && !p.compatible(r[0].shelf, shelf[i]) {
				continue
			}
			for n := 1; n <= left; n++ {
				add(i+1, left-n, append(r, paint{shelf[i], n}))
			}
		}
	}
	add(0, parts, nil)
	return all
}

// mixable returns the coatings that mixes are made of: of a large shelf, those that come nearest by themselves.
func (m *mixer) mixable() []int {
	var shelf []int
	for k := range m.shelf() {
		if m.problem.coats(k) && !slices.ContainsFunc(m.areas, func(a *Area) bool { return !m.layersMayLie(a, layers{{k, 1}}) }) {
			shelf = append(shelf, k)
		}
	}
	if len(shelf) <= mixShelf {
		return shelf
	}
	cost := make([]float64, len(m.shelf()))
	for _, k := range shelf {
		cost[k] = m.costAtBestThickness(recipe{{k, 1}})
	}
	slices.SortStableFunc(shelf, func(a, b int) int { return cmp.Compare(cost[a], cost[b]) })
	return shelf[:mixShelf]
}

// compatible reports whether two coatings may be stirred together: neither is a mix, and they are thinned with the same, or one with what
// is not known.
func (p *planner) compatible(a, b int) bool {
	if a != b && (slices.Contains(p.problem.Mixed, a) || slices.Contains(p.problem.Mixed, b)) {
		return false
	}
	f, g := p.shelf()[a].Family, p.shelf()[b].Family
	return f == g || f == "" || g == ""
}

// mixture returns a recipe in a sample, as the wood of an area absorbs it: one coat of it as it comes out of the tins.
func (m *mixer) mixture(in model, a *Area, r recipe) *blend.Coating {
	parts := make([]blend.Part, len(r))
	for i, p := range r {
		pure := in.absorbed(p.shelf, a, surfaceUnderMix(a)).Strength(r.strength(in, i) / m.shareOf(p.shelf))
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

// strength returns how strong paint i turns out in a sample. A paint by itself is as it was learned.
func (r recipe) strength(in model, i int) float64 {
	if len(r) < 2 {
		return 1
	}
	times, _ := in.sample.StrengthInMix(r[i].shelf)
	return times
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

// costAtBestThickness returns what a recipe costs at the thickness that does best on each area, whatever the
// number of coats.
func (m *mixer) costAtBestThickness(r recipe) float64 {
	options := make([]layers, len(thicknesses))
	for i := range options {
		options[i] = layers{{0, i}}
	}
	s := m.space(options, func(a *Area) (all []appearance) {
		mixture := m.mixture(m.best, a, r)
		for i, x := range thicknesses {
			all = append(all, m.best.appearanceOf(underMix(m.best, a, mixture, i).coated(mixture, x)))
		}
		return all
	}, func(*Area, layers) float64 { return 0 })
	_, cost := m.bestOf(s)
	return cost
}

// bestOf returns the best option for each area, and what they cost together. It keeps half of the grain, of each area where that can be.
func (m *mixer) bestOf(s *searchSpace) ([]int, float64) {
	pick := s.minimise(func(i, c int) bool { return s.keeps(i, c, Softened) }) // laying nothing is always allowed
	return pick, s.cost(pick)
}

// shortlist returns the recipes that come nearest at whatever thickness; of those as near, the ones of fewer parts first.
func (m *mixer) shortlist(ctx context.Context) ([]recipe, error) {
	type priced struct {
		recipe
		cost float64
	}
	list := m.recipesOf(m.mixable(), mostPaints, mostParts)
	all := make([]priced, len(list))
	if err := parallel.For(ctx, len(list), func(i int) {
		all[i] = priced{list[i], m.costAtBestThickness(list[i]) + list[i].price()}
	}); err != nil {
		return nil, err
	}
	slices.SortStableFunc(all, func(a, b priced) int {
		return cmp.Or(cmp.Compare(a.cost, b.cost), cmp.Compare(a.parts(), b.parts()))
	})
	list = list[:0]
	for _, p := range all[:min(mixesTried, len(all))] {
		list = append(list, p.recipe)
	}
	return list, nil
}
