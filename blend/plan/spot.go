package plan

import (
	"cmp"
	"math/rand/v2"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
)

// A spot is one with the coats to come.
type spot struct {
	*planner
	area, wood    *Area
	coats, onWood layers
	touched       Area               // the spot once it is touched up
	wet           blend.Surface      // what a touch finds
	toLook        colour.Lab         // what a dab is held to
	dabs          []spectra.Spectrum // by drawn sample: what a dab that is held to Aim is off by, as a factor in each band
}

func (p *planner) spotUnder(i int, choice *Choice) *spot {
	wood := p.problem.wood(i)
	s := &spot{planner: p, area: &p.problem.Areas[i], wood: &p.problem.Areas[wood],
		coats: p.layersOf(choice, i).laid(), onWood: p.layersOf(choice, wood).laid()}
	s.touched = *s.area
	s.touched.Laid, s.touched.Surface, s.touched.Light, s.touched.Dark = nil, blend.NonAbsorbing, None, None
	s.wet = s.area.Surface
	if len(s.area.Laid) > 0 {
		s.wet = blend.Sealed
	}
	return s
}

// layersOf returns what a choice lays on area i.
func (p *planner) layersOf(choice *Choice, i int) (ls layers) {
	for _, c := range choice.Areas[i].Coats {
		ls = append(ls, Layer{p.place(c.Coating), c.Count})
	}
	return ls
}

// mayTouch reports whether coating k may lie on the spot, and the first of the coats to come over it.
func (s *spot) mayTouch(k int) bool {
	c := &s.shelf()[k]
	if ok, _ := s.mayLie(s.area, k); !ok || (c.Kind == "stain" || c.Kind == "dye") && !s.wet.Absorbs() {
		return false
	}
	if len(s.coats) == 0 || s.coats[0].Coating == k {
		return true
	}
	ok, _ := blend.MayLie(c, &s.shelf()[s.coats[0].Coating])
	return ok
}

// touch returns the spot's spectrum under a way.
func (s *spot) touch(m model, w *way) spectra.Spectrum {
	amounts := make([]float64, len(w.recipe))
	for i, of := range w.recipe {
		amounts[i] = float64(of.parts)
	}
	return s.touchOf(m, w, amounts)
}

// touchOf returns the spot's spectrum under what a way is mixed from, in those amounts.
func (s *spot) touchOf(m model, w *way, amounts []float64) spectra.Spectrum {
	parts := make([]blend.Part, len(w.recipe))
	for i, of := range w.recipe {
		c := m.absorbed(of.shelf, s.area, s.wet).Strength(w.recipe.strength(m, i))
		parts[i] = blend.Part{Coating: c, Parts: amounts[i]}
	}
	c := blend.Mix("", parts[0].Coating.Kind, parts...)
	touches := cmp.Or(w.touches, hidingTouches)
	under := c.Wetted(&m.sample.Colours[s.area.Mean], s.wet)
	return c.Over(&under, c.Thickness(float64(touches), s.wet, nil))
}

// touchedIn returns the spot's spectrum under a way in a drawn sample. A mix is that of the best sample, but for the error of the dab.
func (s *spot) touchedIn(n int, w *way) spectra.Spectrum {
	if len(w.recipe) == 1 {
		return s.touch(s.drawn[n], w)
	}
	mixed := w.mended
	for i := range mixed {
		mixed[i] = min(mixed[i]*s.dabs[n][i], 1)
	}
	return mixed
}

// drawDabs fills in the errors of dabs.
func (s *spot) drawDabs(aim colour.Lab) {
	s.toLook = aim
	nominal := spectra.PriorSpectrum(aim)
	s.dabs = make([]spectra.Spectrum, len(s.drawn))
	for n, m := range s.drawn {
		rng := rand.New(rand.NewPCG(m.sample.Seed, learn.SeedOf("dab", s.area.Name)))
		off := func() float64 {
			if m.sample.Seed == 0 {
				return 0
			}
			return dabSD * rng.NormFloat64()
		}
		dab := spectra.PriorSpectrum(colour.Lab{L: min(max(aim.L+off(), 1), 99), A: aim.A + off(), B: aim.B + off()})
		for i := range dab {
			s.dabs[n][i] = dab[i] / max(nominal[i], 1e-6)
		}
	}
}

// A seenEnd is a colour at the end, as it will be seen.
type seenEnd struct{ day, lamp colour.Lab }

func (e *seenEnd) dayFrom(o *seenEnd) float64  { return colour.DeltaE2000(e.day, o.day) }
func (e *seenEnd) lampFrom(o *seenEnd) float64 { return colour.DeltaE2000(e.lamp, o.lamp) }

func (m model) seenEnd(r reflectances) seenEnd {
	s := m.seen(r.mean, r.on)
	return seenEnd{s.Lab(), s.LabUnder(lamp)}
}

// woodEnd returns how the wood ends.
func (s *spot) woodEnd(m model) seenEnd { return m.seenEnd(m.lay(s.wood, s.onWood, nil)) }

// end returns how the spot ends where it was touched up to a spectrum.
func (s *spot) end(m model, touched spectra.Spectrum) seenEnd {
	r := reflectances{mean: &touched, on: blend.NonAbsorbing}
	return m.seenEnd(m.layOn(r, &s.touched, s.coats, nil))
}

// untouchedEnd returns how it ends as it is.
func (s *spot) untouchedEnd(m model) seenEnd { return m.seenEnd(m.lay(s.area, s.coats, nil)) }

// aim returns the colour that the spot is to have so that it ends as its wood does, started from a colour: a fixed point of the
// differences at the end.
func (s *spot) aim(c colour.Lab) colour.Lab {
	wood := s.woodEnd(s.best)
	for range 12 {
		end := s.end(s.best, spectra.PriorSpectrum(c))
		d := labDifference(wood.day, end.day)
		c = colour.Lab{L: min(max(c.L+d[0], 0), 100), A: c.A + d[1], B: c.B + d[2]}
	}
	return c
}
