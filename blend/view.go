package blend

import (
	"math"
	"slices"

	"huewright/colour"
)

// A view is an ask in one world: what its coats come to there, as they will be seen.
type view struct {
	ask   *Ask
	world *World
}

// see returns how a surface will be seen: under the clear coat to come, where there is one.
func (v view) see(s *colour.Spectrum) colour.Lab {
	if v.ask.Finished {
		seen := v.world.Clear.Over(s)
		return seen.Lab()
	}
	return s.Lab()
}

// target is the colour that an area is to be seen in.
func (v view) target(a *AskArea) colour.Lab {
	s := &v.world.Colours[a.Target]
	if a.TargetSeen {
		return s.Lab()
	}
	return v.see(s)
}

// A look is how an area is seen: its colour, and the colours of its lightest and darkest
// grain where they are known.
type look struct{ mean, light, dark colour.Lab }

// grainIn is the least contrast, ΔE00, in which there is grain to keep. Our own choice: about
// what can be perceived.
const grainIn = colour.Perceptible

// keeps returns the share of the contrast between light and dark grain that l has over what
// before had; NaN where there is no grain to speak of.
func (l *look) keeps(before *look) float64 {
	was := colour.DeltaE2000(before.light, before.dark)
	if !(was >= grainIn) {
		return math.NaN()
	}
	return colour.DeltaE2000(l.light, l.dark) / was
}

// A build is an area under what has been laid so far: its mean, and its light and dark grain.
type build struct{ mean, light, dark *colour.Spectrum }

func (v view) start(a *AskArea) build {
	b := build{mean: &v.world.Colours[a.Mean]}
	if a.Light != None && a.Dark != None {
		b.light, b.dark = &v.world.Colours[a.Light], &v.world.Colours[a.Dark]
	}
	return b
}

func (v view) look(b build) look {
	l := look{mean: v.see(b.mean)}
	if b.light != nil {
		l.light, l.dark = v.see(b.light), v.see(b.dark)
	}
	return l
}

// under is what a film of one coating makes of what is there.
func (b build) under(c *Coating, film float64) build {
	lay := func(s *colour.Spectrum) *colour.Spectrum {
		if s == nil {
			return nil
		}
		over := c.Over(s, film)
		return &over
	}
	return build{lay(b.mean), lay(b.light), lay(b.dark)}
}

// films returns the film that 0, 1 … most coats of a coating leave on a surface in this world.
func (v view) films(a *AskArea, k, most int, on Surface) []float64 {
	c := &v.world.Coatings[k]
	hand := v.world.Hand(a.Name, k, most)
	films := make([]float64, most+1)
	for n := range films {
		films[n] = c.Thickness(float64(n), on, hand)
	}
	return films
}

// A layer is some coats of one coating, by its place on the shelf.
type layer struct{ coating, count int }

// A course is what is laid on one area, the undermost first.
type course []layer

func (c course) coats() (n int) {
	for _, l := range c {
		n += l.count
	}
	return n
}

func (c course) equal(d course) bool { return slices.Equal(c, d) }

// bare is a course without its layers of no coats.
func (c course) bare() course {
	return slices.DeleteFunc(slices.Clone(c), func(l layer) bool { return l.count == 0 })
}

// walk returns the looks of an area as it is and after each coat of a course.
func (v view) walk(a *AskArea, c course) []look {
	b := v.start(a)
	looks := []look{v.look(b)}
	on := a.Surface
	for _, l := range c {
		if l.count == 0 {
			continue
		}
		films := v.films(a, l.coating, l.count, on)
		for n := 1; n <= l.count; n++ {
			looks = append(looks, v.look(b.under(&v.world.Coatings[l.coating], films[n])))
		}
		b = b.under(&v.world.Coatings[l.coating], films[l.count])
		on = Sealed
	}
	return looks
}

// end returns the look of an area after a course.
func (v view) end(a *AskArea, c course) look {
	b, on := v.start(a), a.Surface
	for _, l := range c {
		if l.count == 0 {
			continue
		}
		films := v.films(a, l.coating, l.count, on)
		b, on = b.under(&v.world.Coatings[l.coating], films[l.count]), Sealed
	}
	return v.look(b)
}
