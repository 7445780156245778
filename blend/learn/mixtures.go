package learn

import (
	"math"
	"math/rand/v2"
	"slices"

	"huewright/blend"
	"huewright/colour"
	"huewright/colour/spectra"
)

// How strong a paint is in a mix over what its share by volume lets expect: it is the same in all mixes of the paint.
const (
	// strengthByRatio is what the logarithm of that strength rises by with that of K/S, on average over wavelengths. A dark chip does not
	// show how much its paint absorbs, so that its films are taken for weaker than they turn out in a mix with white. Fitted on 21 mixtures
	// that were weighed and measured, their paints known by their chips: see TestStrengthRisesWithRatio.
	strengthByRatio = 0.45
	// strengthSD is the standard deviation of the logarithm of that strength beside it: in the same mixtures 1.3 by weight, and a little
	// less by volume.
	strengthSD = 1.2
	// newMixSD is the standard deviation by which a paint's strength differs from one mix to the next. In four pairs of paints that were
	// mixed in two to three ways, it is 0.2 to 0.3.
	newMixSD = 0.3
	// densitySD is of the logarithm of a paint's density, from paste that is mostly oil or water to one of a dense white. From memory, no
	// source.
	densitySD = 0.3
	// mixMisfit is what a mix is off by, in each of L*, a*, b*, whose paints are as strong as they are: our own choice.
	mixMisfit = 2.0
)

// mixtures are the component of what was stirred together of coatings of the shelf. Its unknowns are the logarithms of how strong each
// paint is in a mix and, where any mix was weighed, of the density of each. A colour of a mix is an observation of its own coating, and
// one more of this component: the two share the error of their reading.
type mixtures struct {
	paints  []string // that are mixed, by name
	of      []int    // each of them among the components
	weighed bool     // densities are unknowns
	mixes   []mix
	seen    []observation
	mix     []int // of each observation

	from []int // where the unknowns of each paint's coating begin
	own  int   // where those of this component begin
}

// A mix is what a mixed coating is made of.
type mix struct {
	parts   []mixedPart
	share   float64 // of the paints, by volume, in the mix to be planned
	weighed bool
}

// A mixedPart is a paint in a mix, by its index among the paints.
type mixedPart struct {
	paint int
	parts float64
	share float64 // of the paint, by volume, in the coating that is learned
}

// newMixtures returns the component of the mixes on a shelf whose coatings are those components; nil where none has been seen. What they
// made of a surface that absorbs tells nothing of strengths that is not told of uptake as well.
func newMixtures(shelf []ShelfCoating, components []int, r *readings) *mixtures {
	m := &mixtures{}
	place := func(name string) int {
		return slices.IndexFunc(shelf, func(k ShelfCoating) bool { return k.Name == name })
	}
	for i := range shelf {
		for _, p := range shelf[i].Parts {
			m.paints = append(m.paints, p.Coating)
		}
	}
	slices.Sort(m.paints)
	m.paints = slices.Compact(m.paints)
	for _, name := range m.paints {
		m.of = append(m.of, components[place(name)])
	}
	order := make([]int, 0, len(shelf))
	for i := range shelf {
		if len(shelf[i].Parts) > 0 {
			order = append(order, i)
		}
	}
	slices.SortFunc(order, func(a, b int) int { return components[a] - components[b] })
	for _, i := range order {
		k := &shelf[i]
		mixed := mix{share: orOne(k.Share), weighed: k.Weighed}
		m.weighed = m.weighed || k.Weighed
		for _, p := range k.Parts {
			paint, _ := slices.BinarySearch(m.paints, p.Coating)
			mixed.parts = append(mixed.parts, mixedPart{paint, p.Parts, orOne(shelf[place(p.Coating)].Share)})
		}
		m.mixes = append(m.mixes, mixed)
		for _, v := range newCoatingComponent(k, Bias{}, r).seen {
			if v.surface.Absorbs() || v.wiped || v.onPiece {
				continue
			}
			v.misfit = math.Hypot(v.misfit, mixMisfit)
			m.seen, m.mix = append(m.seen, v), append(m.mix, len(m.mixes)-1)
		}
	}
	if len(m.seen) == 0 {
		return nil
	}
	return m
}

// orOne returns a share, and 1 where it is not known.
func orOne(share float64) float64 {
	if share == 0 {
		return 1
	}
	return share
}

// placeIn tells the component where the unknowns of a problem are.
func (m *mixtures) placeIn(q *problem) {
	m.from = nil
	for _, k := range m.of {
		m.from = append(m.from, q.offsets[k])
	}
	m.own = q.offsets[slices.IndexFunc(q.components, func(c component) bool { return c == m })]
}

func (m *mixtures) size() int {
	if m.weighed {
		return 2 * len(m.paints)
	}
	return len(m.paints)
}

func (m *mixtures) observations() []observation { return m.seen }

func (m *mixtures) prior() (l priorTerms) {
	for i := range m.size() {
		row := make([]float64, m.size())
		row[i] = 1 / strengthSD
		if i >= len(m.paints) {
			row[i] = 1 / densitySD
		}
		l.add(0, row)
	}
	return l
}

func (m *mixtures) starts() [][]float64 { return [][]float64{make([]float64, m.size())} }

// A strength is the logarithm of how strong a coating is in mixes.
type strength struct {
	expected float64 // of its chip
	own      float64 // beside that, where smears of mixes tell
	told     bool
}

// expectedStrength returns the logarithm of how strong a coating is expected to be in mixes.
func (p *point) expectedStrength() (log float64) {
	for k := range knots {
		log += strengthByRatio * (p[k] - p[knots+k]) / knots
	}
	return log
}

// strengthOf returns what the component tells of a coating whose unknowns are p; own are those of the component, which may be nil.
func (m *mixtures) strengthOf(name string, p *point, own []float64) strength {
	s := strength{expected: p.expectedStrength()}
	if m != nil {
		var at int
		if at, s.told = slices.BinarySearch(m.paints, name); s.told {
			s.own = own[at]
		}
	}
	return s
}

// A portion is a paint in a mix with what its unknowns make of it.
type portion struct {
	films    [spectra.Bands]blend.Film // of the coating as it is learned
	times    float64                   // how much of them is in the mix
	volume   float64                   // the part's share of the mix
	surface  float64
	bySlope  float64 // derivative of surface by its unknown
	coating  int     // where the unknowns of its coating begin
	strength int     // where its own is
}

// portions returns the parts of a mix, all unknowns being at, and the film of one coat and its surface.
func (m *mixtures) portions(x *mix, at []float64) (all []portion, films [spectra.Bands]blend.Film, surface float64) {
	whole := 0.0
	all = make([]portion, len(x.parts))
	for i, part := range x.parts {
		p := &all[i]
		p.coating, p.strength = m.from[part.paint], m.own+part.paint
		p.volume = part.parts
		if x.weighed {
			p.volume *= math.Exp(-at[p.strength+len(m.paints)])
		}
		whole += p.volume
	}
	for i, part := range x.parts {
		p := &all[i]
		p.volume /= whole
		unknown := point(at[p.coating:])
		p.films = unknown.films()
		p.times = x.share * p.volume * math.Exp(at[p.strength]+unknown.expectedStrength()) / part.share
		p.surface, p.bySlope = shareOf(unknown[atSurface])
		surface += p.volume * p.surface
		for band, f := range p.films {
			films[band].K += p.times * f.K
			films[band].S += p.times * f.S
		}
	}
	return all, films, surface
}

func (m *mixtures) predict(i int, at []float64, slopes *[3][]float64, _ int) [3]float64 {
	v, x := &m.seen[i], &m.mixes[m.mix[i]]
	portions, films, surface := m.portions(x, at)
	for axis := range slopes {
		clear(slopes[axis])
	}
	thickness := v.application.coats * v.share
	var xyz [3]float64
	for band, f := range films {
		var r float64
		var by blend.Slopes
		if v.opaque {
			r, by = f.LimitSlopes(surface)
		} else {
			r, by = f.OverSlopes(v.ground[band], thickness, surface)
		}
		for c := range 3 {
			w := spectra.DaylightWeights[band][c]
			xyz[c] += w * r
			m.addSlopes(slopes[c], portions, band, w, f, &by, x.weighed)
		}
	}
	for c := range slopes {
		for i := range portions {
			p := &portions[i]
			rises := slopes[c][p.strength] * strengthByRatio / knots
			for k := range knots {
				slopes[c][p.coating+k] += rises
				slopes[c][p.coating+knots+k] -= rises
			}
		}
	}
	lab, by := (&colour.XYZ{X: xyz[0], Y: xyz[1], Z: xyz[2]}).LabJacobian()
	for j := range at {
		a, b, c := slopes[0][j], slopes[1][j], slopes[2][j]
		if a == 0 && b == 0 && c == 0 {
			continue
		}
		for axis := range 3 {
			slopes[axis][j] = by[axis][0]*a + by[axis][1]*b + by[axis][2]*c
		}
	}
	return [3]float64{lab.L, lab.A, lab.B}
}

// addSlopes adds to slopes the derivatives, by all unknowns, of weight times the reflectance of a mix in a band, whose film there is f and
// whose reflectance has the derivatives by.
func (m *mixtures) addSlopes(slopes []float64, all []portion, band int, weight float64, f blend.Film, by *blend.Slopes, weighed bool) {
	at := knotPositions[band]
	sum, surface := 0.0, 0.0
	each := make([]float64, len(all)) // by the logarithm of how much there is of each part
	for i := range all {
		p := &all[i]
		byK, byS := weight*by.ByLogK*p.times*p.films[band].K/f.K, weight*by.ByLogS*p.times*p.films[band].S/f.S
		k, s := slopes[p.coating+at.left:], slopes[p.coating+knots+at.left:]
		k[0] += byK * (1 - at.toRight)
		k[1] += byK * at.toRight
		s[0] += byS * (1 - at.toRight)
		s[1] += byS * at.toRight
		slopes[p.coating+atSurface] += weight * by.BySurface * p.volume * p.bySlope
		slopes[p.strength] += byK + byS
		each[i] = byK + byS
		sum += each[i]
		surface += p.volume * p.surface
	}
	if !weighed {
		return
	}
	for i := range all { // a denser paint leaves more room for the others
		p := &all[i]
		slopes[p.strength+len(m.paints)] += p.volume*sum - each[i] + weight*by.BySurface*p.volume*(surface-p.surface)
	}
}

func (m *mixtures) sensitivity(i int, at []float64) sensitivity {
	v := &m.seen[i]
	_, films, surface := m.portions(&m.mixes[m.mix[i]], at)
	return v.sensitivity(&films, v.application.coats*v.share, surface, 0)
}

// StrengthInMix returns how strong coating k turns out in a mix of several, over what its share by volume lets expect: as smears of mixes
// tell, elsewhere as its colour lets expect, and in drawn samples as it may. It depends on the coating's name, not on the order of the
// shelf. told reports whether a smear tells it.
func (s *Sample) StrengthInMix(k int) (times float64, told bool) {
	var of strength
	if k < len(s.strengths) {
		of = s.strengths[k]
	}
	if s.Seed != 0 {
		sd := strengthSD
		if of.told { // in the mix that was smeared, and not in this one
			sd = newMixSD * math.Sqrt2
		}
		rng := rand.New(rand.NewPCG(s.Seed, SeedOf("mix", s.Coatings[k].Name)))
		of.own += sd * rng.NormFloat64()
	}
	return math.Exp(of.expected + of.own), of.told
}
