package plan

import (
	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
)

// A Renderer turns the spectrum of a spot of an area into what it will be seen as.
type Renderer struct {
	films []film
	clear *blend.ClearCoat // nil where none comes
	mean  colour.XYZ
	bare  bool // nothing is laid and nothing comes over it
}

// film is a coating and how much of it lies there.
type film struct {
	coating *blend.Coating
	amount  float64
}

// NewRenderer says what an area will be seen as in the middle of all that may be, with coats laid on it as it
// is, the undermost first, and, where finished, under the clear coat to come.
func NewRenderer(w *learn.Samples, a Area, coats []Laid, finished bool) *Renderer {
	v := model{&Problem{Finished: finished}, &w.Best}
	s := &Renderer{bare: !finished}
	over := false
	for _, l := range coats {
		if l.Coats <= 0 {
			continue
		}
		films := v.films(&a, l.Coating, l.Coats, over)
		s.films = append(s.films, film{&w.Best.Coatings[l.Coating], films[l.Coats]})
		over, s.bare = true, false
	}
	if finished {
		s.clear = &w.Best.Clear
	}
	s.mean = s.Of(&w.Best.Colours[a.Mean])
	return s
}

// Of is what a spot of that spectrum will be seen as, in daylight.
func (s *Renderer) Of(spot *spectra.Spectrum) colour.XYZ {
	now := *spot
	for _, f := range s.films {
		now = f.coating.Over(&now, f.amount)
	}
	if s.clear != nil {
		now = s.clear.Over(&now)
	}
	return now.XYZ(spectra.LightD65)
}

// Mean is what the area as a whole will be seen as.
func (s *Renderer) Mean() colour.XYZ { return s.mean }

// Changes reports whether anything is laid or comes over the area at all.
func (s *Renderer) Changes() bool { return !s.bare }
