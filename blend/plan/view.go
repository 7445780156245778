package plan

import (
	"math"
	"slices"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
)

// A model is an ask in one world: what its coats come to there, as they will be seen.
type model struct {
	problem *Problem
	sample  *learn.Sample
}

// render returns how a surface will be seen: under the clear coat to come, where there is one.
func (v model) render(s *spectra.Spectrum) colour.Lab {
	if v.problem.Finished {
		seen := v.sample.Clear.Over(s)
		return seen.Lab()
	}
	return s.Lab()
}

// target is the colour that an area is to be seen in.
func (v model) target(a *Area) colour.Lab {
	s := &v.sample.Colours[a.Target]
	if a.TargetSeen {
		return s.Lab()
	}
	return v.render(s)
}

// A appearance is how an area is seen: its colour, and the colours of its lightest and darkest
// grain where they are known.
type appearance struct{ mean, light, dark colour.Lab }

// grainIn is the least contrast, ΔE00, in which there is grain to keep. Our own choice: about
// what can be perceived.
const grainIn = colour.Perceptible

// keeps returns the share of the contrast between light and dark grain that l has over what
// before had; NaN where there is no grain to speak of.
func (l *appearance) keeps(before *appearance) float64 {
	was := colour.DeltaE2000(before.light, before.dark)
	if !(was >= grainIn) {
		return math.NaN()
	}
	return colour.DeltaE2000(l.light, l.dark) / was
}

// A reflectances is an area under what has been laid so far: its mean, and its light and dark grain.
type reflectances struct{ mean, light, dark *spectra.Spectrum }

func (v model) initial(a *Area) reflectances {
	b := reflectances{mean: &v.sample.Colours[a.Mean]}
	if a.Light != None && a.Dark != None {
		b.light, b.dark = &v.sample.Colours[a.Light], &v.sample.Colours[a.Dark]
	}
	return b
}

func (v model) appearanceOf(b reflectances) appearance {
	l := appearance{mean: v.render(b.mean)}
	if b.light != nil {
		l.light, l.dark = v.render(b.light), v.render(b.dark)
	}
	return l
}

// coated is what a film of one coating makes of what is there.
func (b reflectances) coated(c *blend.Coating, film float64) reflectances {
	lay := func(s *spectra.Spectrum) *spectra.Spectrum {
		if s == nil {
			return nil
		}
		over := c.Over(s, film)
		return &over
	}
	return reflectances{lay(b.mean), lay(b.light), lay(b.dark)}
}

// films returns the film that 0, 1 … most coats of a coating leave in this world: on the area as it
// is, beyond the coats of it that lie there, or over another coating.
func (v model) films(a *Area, k, most int, overOther bool) []float64 {
	c := &v.sample.Coatings[k]
	has, on := a.has(k), a.on(k)
	if overOther {
		has, on = 0, blend.Sealed
	}
	hand := v.sample.FilmFactors(a.Name, k, has+most)
	films := make([]float64, most+1)
	for n := range films {
		films[n] = c.Thickness(float64(has+n), on, hand) - c.Thickness(float64(has), on, hand)
	}
	return films
}

// has is how many coats of a coating lie uppermost on the area already.
func (a *Area) has(k int) int {
	if n := len(a.Laid); n > 0 && a.Laid[n-1].Coating == k {
		return a.Laid[n-1].Coats
	}
	return 0
}

// on is what a coating is laid on: the surface itself, or, where something else lies on it, a
// sealed one.
func (a *Area) on(k int) blend.Surface {
	if n := len(a.Laid); n > 1 || n == 1 && a.Laid[0].Coating != k {
		return blend.Sealed
	}
	return a.Surface
}

// baseline is the look that grain is told against: that of the area before any coat.
func (v model) baseline(a *Area) appearance {
	b := v.initial(a)
	if b.light != nil && len(a.Laid) > 0 {
		b.light, b.dark = &v.sample.Colours[a.BareLight], &v.sample.Colours[a.BareDark]
	}
	return v.appearanceOf(b)
}

// A layer is some coats of one coating, by its place on the shelf.
type layer struct{ coating, count int }

// A layers is what is laid on one area, the undermost first.
type layers []layer

func (c layers) coats() (n int) {
	for _, l := range c {
		n += l.count
	}
	return n
}

func (c layers) equal(d layers) bool { return slices.Equal(c, d) }

// bare is a course without its layers of no coats.
func (c layers) bare() layers {
	return slices.DeleteFunc(slices.Clone(c), func(l layer) bool { return l.count == 0 })
}

// appearances returns the looks of an area as it is and after each coat of a course.
func (v model) appearances(a *Area, c layers) []appearance {
	b := v.initial(a)
	looks := []appearance{v.appearanceOf(b)}
	over := false
	for _, l := range c {
		if l.count == 0 {
			continue
		}
		films := v.films(a, l.coating, l.count, over)
		for n := 1; n <= l.count; n++ {
			looks = append(looks, v.appearanceOf(b.coated(&v.sample.Coatings[l.coating], films[n])))
		}
		b = b.coated(&v.sample.Coatings[l.coating], films[l.count])
		over = true
	}
	return looks
}

// final returns the look of an area after a course.
func (v model) final(a *Area, c layers) appearance {
	b, over := v.initial(a), false
	for _, l := range c {
		if l.count == 0 {
			continue
		}
		films := v.films(a, l.coating, l.count, over)
		b, over = b.coated(&v.sample.Coatings[l.coating], films[l.count]), true
	}
	return v.appearanceOf(b)
}
