package plan

import (
	"math"
	"slices"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/internal/fault"
)

// A Problem is a piece to be planned.
type Problem struct {
	Areas    []Area
	Layers   []ScheduledLayer // the finish, undermost layer first; empty: coatings and their order are looked for
	Finished bool             // a clear coat comes over all: colours are compared as they are seen under it
	Options  Options
	// TouchUp are the coatings of the shelf that are kept for touching up: no area is coated with them unless Layers names them.
	TouchUp []int
	// Mixed are the coatings of the shelf that were stirred together of others: they are used as they are, and not mixed further.
	Mixed []int
}

// coats reports whether coating k may be planned on areas where no layers are given.
func (pr *Problem) coats(k int) bool { return !slices.Contains(pr.TouchUp, k) }

// wood returns the index of the area that a spot is part of; None for an area that is no spot.
func (pr *Problem) wood(i int) int {
	if pr.Areas[i].PartOf == "" {
		return None
	}
	return slices.IndexFunc(pr.Areas, func(a Area) bool { return a.Name == pr.Areas[i].PartOf })
}

// spotsOf returns the spots that are part of area i.
func (pr *Problem) spotsOf(i int) (spots []int) {
	for k := range pr.Areas {
		if pr.wood(k) == i {
			spots = append(spots, k)
		}
	}
	return spots
}

// Options changes how coats are planned.
type Options struct {
	Tolerance float64 // ΔE00 up to which a target counts as met; 0 means 2.0
	MaxCoats  int     // on one area, of all coatings together, those that lie there counted, 1–100; 0 means 12
	// Price is the ΔE00 that the first coat of an area must gain, the second twice as much, and so on, divided by the number of areas; 0
	// means 1.0.
	Price float64
	// PreferGrain puts first a plan that keeps at least half of the grain of every area, where there is one.
	PreferGrain bool
}

// What a finish may have: the counts that are looked at grow with a power of it.
const (
	mostLayers  = 12
	mostPlanned = 4 // of those, with a number that is looked for
)

const coatLimit = 100 // largest Options.MaxCoats

func (o *Options) fill() {
	if o.Tolerance == 0 {
		o.Tolerance = 2.0
	}
	if o.MaxCoats == 0 {
		o.MaxCoats = 12
	}
	if o.Price == 0 {
		o.Price = 1
	}
}

// None stands for a colour that is not known, or for no target.
const None = -1

// An Area is one area to be coloured. Its colours are indices into Sample.Colours.
type Area struct {
	Name string
	// PartOf names the area whose wood a filled or sanded-through spot belongs to: it is coated with that area, in its counts and by the
	// same strokes, and counts for nothing in what is looked for. "" is an area of its own.
	PartOf  string
	Surface blend.Surface
	Wood    string // as the tests of coatings name it: what it absorbs is its own; "" is no wood in particular
	Mean    int    // its colour now
	// Light and Dark are the lightest and the darkest quarter of its grain; None where they are
	// not known, and then grain is NaN.
	Light, Dark int
	Target      int // None: the area is to meet the others that have none
	// TargetSeen says that the target was measured under its clear coat already.
	TargetSeen bool
	// Laid are the layers that the area has already, the undermost first; Mean is its colour under
	// them. They decide how much film a further coat leaves, and what it may lie on.
	Laid []Layer
	// BareLight and BareDark are what Light and Dark were before the coats in Laid: grain is told
	// against them, and predicted from them where Light and Dark are None; None where they are not
	// known. Not used where nothing is laid.
	BareLight, BareDark int
}

// A Layer is some coats of one coating.
type Layer struct {
	Coating int // index on the shelf
	Coats   int
}

// has returns how many coats of coating k lie uppermost on the area.
func (a *Area) has(k int) int {
	if n := len(a.Laid); n > 0 && a.Laid[n-1].Coating == k {
		return a.Laid[n-1].Coats
	}
	return 0
}

// on returns the surface under coating k: the area's own, or a sealed one where another coating lies on it.
func (a *Area) on(k int) blend.Surface {
	if n := len(a.Laid); n > 1 || n == 1 && a.Laid[0].Coating != k {
		return blend.Sealed
	}
	return a.Surface
}

// check returns what is impossible about a problem, or nil.
func (pr *Problem) check(w *learn.Samples) error {
	if len(w.Best.Coatings) == 0 {
		return fault.New(fault.Use, "plan.no-coating")
	}
	if len(pr.Areas) == 0 {
		return fault.New(fault.Use, "plan.no-area")
	}
	names := map[string]bool{}
	var meeting []int
	for i, a := range pr.Areas {
		if wood := pr.wood(i); a.PartOf != "" && (wood < 0 || wood == i || pr.Areas[wood].PartOf != "") {
			return fault.In(fault.New(fault.Use, "plan.part-of", "wood", a.PartOf), fault.Place{Area: a.Name})
		}
		if a.Target == None && a.PartOf == "" {
			meeting = append(meeting, i)
		}
		if names[a.Name] {
			return fault.New(fault.Use, "plan.same-name", "name", a.Name)
		}
		names[a.Name] = true
	}
	if len(meeting) == 1 && len(pr.spotsOf(meeting[0])) == 0 { // with a spot it stays as it is, and the spot is brought to it
		return fault.In(fault.New(fault.Use, "plan.nothing-to-meet"), fault.Place{Area: pr.Areas[meeting[0]].Name})
	}
	planned := layerOrder(pr.Layers).planned()
	if len(pr.Layers) > mostLayers || planned > mostPlanned {
		return fault.New(fault.Use, "plan.layers", "n", len(pr.Layers), "planned", planned, "most", mostLayers, "most-planned", mostPlanned)
	}
	return pr.Options.check()
}

func (o *Options) check() error {
	switch {
	case !(o.Tolerance >= 0) || math.IsInf(o.Tolerance, 1):
		return fault.New(fault.Use, "plan.tolerance", "value", o.Tolerance)
	case o.MaxCoats < 0 || o.MaxCoats > coatLimit:
		return fault.New(fault.Use, "plan.max-coats", "value", o.MaxCoats, "high", coatLimit)
	case !(o.Price >= 0) || math.IsInf(o.Price, 1):
		return fault.New(fault.Use, "plan.price", "value", o.Price)
	}
	return nil
}

// checkColour returns what is impossible about a colour that is planned with, or nil.
func checkColour(code fault.Code, area string, c colour.Lab) error {
	if problem := (&learn.Measured{Lab: c}).Problem(); !problem.Empty() {
		return fault.In(fault.New(fault.Use, code, "problem", problem), fault.Place{Area: area})
	}
	return nil
}
