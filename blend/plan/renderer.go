package plan

import (
	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
)

// A Renderer predicts how any spot of an area will be seen, in the most probable sample.
type Renderer struct {
	films  []film
	clear  *blend.ClearCoat // nil where none comes
	byLamp bool             // it is seen by a warm lamp, else in daylight
	wood   *spectra.Spectrum
	mean   colour.XYZ
}

// A film is a coating and how much of it lies there, in even coats.
type film struct {
	coating *blend.Coating
	amount  float64
	on      blend.Surface // which it may wet
}

// NewRenderer renders an area under further coats, the undermost first, and, where finished, under the clear
// coat to come.
func NewRenderer(w *learn.Samples, a Area, coats []Layer, finished bool) *Renderer {
	m := model{&Problem{Finished: finished}, &w.Best}
	r := &Renderer{}
	for _, l := range layers(coats).laid() {
		films := m.films(&a, l.Coating, l.Coats, len(r.films) > 0)
		wets := blend.Sealed
		if len(r.films) == 0 && a.has(l.Coating) == 0 {
			wets = a.on(l.Coating)
		}
		r.films = append(r.films, film{m.coating(&a, l.Coating, len(r.films) > 0), films[l.Coats], wets})
	}
	if finished {
		clear := w.Best.Clear.On(underClear(a.Surface, len(r.films)+len(a.Laid) > 0))
		r.clear = &clear
	}
	r.wood = &w.Best.Colours[a.Mean]
	r.mean = r.Of(r.wood)
	return r
}

// ByLamp returns the same renderer for an eye used to a warm lamp.
func (r *Renderer) ByLamp() *Renderer {
	by := *r
	by.byLamp = true
	by.mean = by.Of(r.wood)
	return &by
}

// ByLamp returns how a surface is seen by an eye used to a warm lamp: to be compared with what Renderer.ByLamp shows.
func ByLamp(s *spectra.Spectrum) colour.XYZ { return s.LabUnder(lamp).XYZ() }

// Of returns how a spot of that reflectance will be seen, in daylight unless by lamp.
func (r *Renderer) Of(spot *spectra.Spectrum) colour.XYZ {
	now := *spot
	for _, f := range r.films {
		now = f.coating.Wetted(&now, f.on)
		now = f.coating.Over(&now, f.amount)
	}
	if r.clear != nil {
		now = r.clear.Over(&now)
	}
	if r.byLamp {
		return ByLamp(&now)
	}
	return now.XYZ(spectra.LightD65)
}

// Mean returns how the area as a whole will be seen.
func (r *Renderer) Mean() colour.XYZ { return r.mean }

// Changes reports whether the area looks other than now in daylight: anything comes over it, or it is seen by lamp.
func (r *Renderer) Changes() bool { return len(r.films) > 0 || r.clear != nil || r.byLamp }
