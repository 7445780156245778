package plan

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
)

// A model predicts what coats do to the areas of a problem in one sample.
type model struct {
	problem *Problem
	sample  *learn.Sample
}

// layers are laid on one area, the undermost first. Some may have no coats.
type layers []Layer

func (ls layers) coats() (n int) {
	for _, l := range ls {
		n += l.Coats
	}
	return n
}

func (ls layers) equal(other layers) bool { return slices.Equal(ls, other) }

// laid returns the layers without those of no coats.
func (ls layers) laid() layers {
	return slices.DeleteFunc(slices.Clone(ls), func(l Layer) bool { return l.Coats == 0 })
}

// with returns a copy in which layer i has n coats.
func (ls layers) with(i, n int) layers {
	other := slices.Clone(ls)
	other[i].Coats = n
	return other
}

// CoatWords says a number of coats: "no coat", "1 coat", "3 coats".
func CoatWords(n int) string {
	switch n {
	case 0:
		return "no coat"
	case 1:
		return "1 coat"
	}
	return fmt.Sprintf("%d coats", n)
}

// An appearance is how an area is seen: its mean colour, and its lightest and darkest grain where known.
type appearance struct{ mean, light, dark colour.Lab }

// leastContrast is the least contrast of light and dark grain, ΔE00, that counts as grain: about what
// can be perceived.
const leastContrast = colour.Perceptible

// keeps returns the share of the grain's contrast before that is left after: of the logarithm of the light quartile's luminance over the
// dark one's, so that darkening alone is not hiding: a dye keeps its grain at any depth. It is NaN where there was none, and for a spot
// that absorbs nothing, which has no grain of its own.
func (after *appearance) keeps(before *appearance, a *Area) float64 {
	if a.Surface == blend.NonAbsorbing || !(colour.DeltaE2000(before.light, before.dark) >= leastContrast) {
		return math.NaN()
	}
	was := logContrast(before)
	if was == 0 {
		return math.NaN()
	}
	return min(max(logContrast(after)/was, 0), 1)
}

// leastLuminance is the least that contrast is told from; less is black to any eye.
const leastLuminance = 1e-3

func logContrast(a *appearance) float64 {
	luminance := func(c colour.Lab) float64 { return max(c.XYZ().Y, leastLuminance) }
	return math.Log(luminance(a.light) / luminance(a.dark))
}

// labDifference returns a − b in L*, a*, b*.
func labDifference(a, b colour.Lab) [3]float64 { return [3]float64{a.L - b.L, a.A - b.A, a.B - b.B} }

// reflectances are the spectra of an area: its mean, and its light and dark grain, nil where not known.
type reflectances struct {
	mean, light, dark *spectra.Spectrum
	on                blend.Surface // as a clear coat finds it
}

// underClear returns the surface that a clear coat finds. Coats of colour dry matt, so that over an old clear coat they
// are wetted like a sealed wood; elsewhere they are thin, and wetted like what they lie on.
func underClear(on blend.Surface, coated bool) blend.Surface {
	if coated && on == blend.ClearCoated {
		return blend.Sealed
	}
	return on
}

// coated returns the reflectances under a film of one coating, in coats.
func (r reflectances) coated(c *blend.Coating, film float64) reflectances {
	if film == 0 {
		return r
	}
	laid := c.Laid(film)
	over := func(s *spectra.Spectrum) *spectra.Spectrum {
		if s == nil {
			return nil
		}
		under := laid.Over(s)
		return &under
	}
	return reflectances{over(r.mean), over(r.light), over(r.dark), underClear(r.on, true)}
}

// wetted returns the reflectances that the first coat of c leaves of a surface, before its film.
func (r reflectances) wetted(c *blend.Coating, on blend.Surface) reflectances {
	if !on.Absorbs() || c.Wetting == 0 {
		return r
	}
	wet := func(s *spectra.Spectrum) *spectra.Spectrum {
		if s == nil {
			return nil
		}
		after := c.Wetted(s, on)
		return &after
	}
	return reflectances{wet(r.mean), wet(r.light), wet(r.dark), r.on}
}

// ground returns the reflectances r of an area under the first further coat of coating k, or, where covered, of another coating.
func (m model) ground(r reflectances, a *Area, k int, covered bool) reflectances {
	if covered || a.has(k) > 0 {
		return r
	}
	return r.wetted(m.coating(a, k, covered), a.on(k))
}

// initial returns the reflectances of an area as it is.
func (m model) initial(a *Area) reflectances {
	r := reflectances{mean: &m.sample.Colours[a.Mean], on: underClear(a.Surface, len(a.Laid) > 0)}
	switch {
	case a.Light != None && a.Dark != None:
		r.light, r.dark = &m.sample.Colours[a.Light], &m.sample.Colours[a.Dark]
	case len(a.Laid) > 0 && a.BareLight != None && a.BareDark != None:
		r.light, r.dark = m.underLaid(a, a.BareLight), m.underLaid(a, a.BareDark)
	}
	return r
}

// underLaid predicts what the coats that an area has had made of a colour that it had before them.
func (m model) underLaid(a *Area, bare int) *spectra.Spectrum {
	before := Area{Name: a.Name, Surface: a.Surface, Wood: a.Wood, Mean: bare, Light: None, Dark: None}
	return m.lay(&before, a.Laid, nil).mean
}

// render returns the colour in which a surface will be seen: under the clear coat to come, where there is one.
func (m model) render(s *spectra.Spectrum, on blend.Surface) colour.Lab {
	seen := m.seen(s, on)
	return seen.Lab()
}

// seen returns the spectrum of a surface as it will be seen.
func (m model) seen(s *spectra.Spectrum, on blend.Surface) spectra.Spectrum {
	if m.problem.Finished {
		return m.sample.Clear.On(on).Over(s)
	}
	return *s
}

func (m model) appearanceOf(r reflectances) appearance {
	seen := appearance{mean: m.render(r.mean, r.on)}
	if r.light != nil {
		seen.light, seen.dark = m.render(r.light, r.on), m.render(r.dark, r.on)
	}
	return seen
}

// target returns the colour in which an area is to be seen.
func (m model) target(a *Area) colour.Lab { return m.targetSpectrum(a).Lab() }

// targetSpectrum returns the spectrum that it then has.
func (m model) targetSpectrum(a *Area) *spectra.Spectrum {
	s := &m.sample.Colours[a.Target]
	if a.TargetSeen {
		return s
	}
	seen := m.seen(s, "")
	return &seen
}

// baseline returns the appearance that grain is told against: that of the area before any coat.
func (m model) baseline(a *Area) appearance {
	r := m.initial(a)
	if r.light != nil && len(a.Laid) > 0 {
		r.light, r.dark = &m.sample.Colours[a.BareLight], &m.sample.Colours[a.BareDark]
	}
	return m.appearanceOf(r)
}

// coating returns coating k as it is on an area as it is, or, where covered, over another coating.
func (m model) coating(a *Area, k int, covered bool) *blend.Coating {
	if covered {
		return &m.sample.Coatings[k]
	}
	return m.absorbed(k, a, a.on(k))
}

// absorbed returns coating k as the wood of an area absorbs it, where what the coat finds absorbs.
func (m model) absorbed(k int, a *Area, on blend.Surface) *blend.Coating {
	if !on.Absorbs() {
		return &m.sample.Coatings[k]
	}
	return m.sample.On(k, a.Wood)
}

// films returns the film, in even coats, that 0, 1 … most coats of coating k leave in this sample: on the area
// as it is, beyond the coats of it that lie there, or, where covered, over another coating.
func (m model) films(a *Area, k, most int, covered bool) []float64 {
	c := m.coating(a, k, covered)
	has, on := a.has(k), a.on(k)
	if covered {
		has, on = 0, blend.Sealed
	}
	factors := m.sample.FilmFactors(a.hand(), k, has+most)
	films := make([]float64, most+1)
	for n := range films {
		films[n] = c.Thickness(float64(has+n), on, factors) - c.Thickness(float64(has), on, factors)
	}
	return films
}

// hand names the area in whose strokes an area is coated: a spot is coated with its wood.
func (a *Area) hand() string { return cmp.Or(a.PartOf, a.Name) }

// lay returns the reflectances of an area under layers. each, unless nil, is called with those after every coat.
func (m model) lay(a *Area, ls layers, each func(reflectances)) reflectances {
	return m.layOn(m.initial(a), a, ls, each)
}

// layOn is lay for an area of which r is what it is like before the layers.
func (m model) layOn(r reflectances, a *Area, ls layers, each func(reflectances)) reflectances {
	covered := false
	for _, l := range ls {
		if l.Coats == 0 {
			continue
		}
		c, films := &m.sample.Coatings[l.Coating], m.films(a, l.Coating, l.Coats, covered)
		r = m.ground(r, a, l.Coating, covered)
		if each != nil {
			for _, film := range films[1:l.Coats] {
				each(r.coated(c, film))
			}
		}
		r, covered = r.coated(c, films[l.Coats]), true
		if each != nil {
			each(r)
		}
	}
	return r
}

// appearances returns those of an area as it is and after each coat of its layers.
func (m model) appearances(a *Area, ls layers) []appearance {
	all := []appearance{m.appearanceOf(m.initial(a))}
	m.lay(a, ls, func(r reflectances) { all = append(all, m.appearanceOf(r)) })
	return all
}

// final returns the appearance of an area under all of its layers.
func (m model) final(a *Area, ls layers) appearance { return m.appearanceOf(m.lay(a, ls, nil)) }
