package workshop

import (
	"slices"

	"huewright/blend"
	"huewright/colour"
)

// A Read is a colour that was read for a plan.
type Read struct {
	Of      string // one of ReadArea …
	Name    string // what a person calls it: "test coat 1 of brown wash"
	Area    string // that it is of or was laid on; "" for none
	Coating string // of a chip or a test coat
	Test    int    // number of the test coat, from 1
	Surface string
	Coats   []blend.CoatCount // that the area then had, the undermost first

	Measured    blend.Measured
	Light, Dark *colour.Lab // of its grain; nil not known
	Spread      float64     // standard deviation of L*; 0 not known
	Pixels      int         // 0 from no photo
}

// What can be read.
const (
	ReadArea   = "area"
	ReadTarget = "target"
	ReadChip   = "chip"
	ReadGround = "ground"
	ReadResult = "result"
)

// keep notes what was read.
func (j *job) keep(r Read, g grained) {
	r.Measured = g.mean
	if g.reading != nil {
		r.Light, r.Dark, r.Spread, r.Pixels = &g.reading.Ground, &g.reading.Figure, g.reading.Spread[0], g.reading.Pixels
	}
	j.read = append(j.read, r)
}

// keepOnce notes what was read, unless it has been.
func (j *job) keepOnce(r Read, g grained) {
	if !slices.ContainsFunc(j.read, func(o Read) bool { return o.Of == r.Of && o.Name == r.Name }) {
		j.keep(r, g)
	}
}
