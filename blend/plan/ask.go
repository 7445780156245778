package plan

import (
	"fmt"
	"math"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
)

// Options changes how coats are planned.
type Options struct {
	Tolerance  float64 // ΔE00 up to which a target counts as met; 0 means 2.0
	MaxCoats   int     // on one area, of all coatings together, 1–100; 0 means 12
	LeastGrain float64 // share of a wood's contrast, 0–1, that the plan put forward keeps where it can; 0 means 0.5
}

func (o *Options) fill() {
	if o.Tolerance == 0 {
		o.Tolerance = 2.0
	}
	if o.MaxCoats == 0 {
		o.MaxCoats = 12
	}
	if o.LeastGrain == 0 {
		o.LeastGrain = 0.5
	}
}

// None stands for a colour that is not known, or not asked for.
const None = -1

// An Area is one area to be coloured. Its colours are places in World.Colours.
type Area struct {
	Name    string
	Surface blend.Surface
	Mean    int // its colour as it is
	// Light and Dark are the lightest and the darkest quarter of its grain, None where they are
	// not known: then nothing is said of the grain.
	Light, Dark int
	Target      int // None: the areas are to meet one another
	// TargetSeen says that the target was measured under its clear coat already.
	TargetSeen bool
	// Laid are coats that the area has already, the undermost first; Mean is its colour under
	// them. They tell how much of a further coat stays, and what it may lie on.
	Laid []Laid
	// BareLight and BareDark are what Light and Dark were before the coats in Laid: grain that is
	// kept is told against them. They are not looked at where nothing is laid.
	BareLight, BareDark int
}

// A Laid is some coats that an area has already.
type Laid struct {
	Coating int // its place on the shelf
	Coats   int
}

// An Problem is a piece to be planned.
type Problem struct {
	Areas    []Area
	Finished bool // a clear coat comes over all: colours are compared as they are seen under it
	Options  Options
}

// check returns what is impossible about an ask, or nil.
func (ask *Problem) check(w *learn.Samples) error {
	if len(w.Best.Coatings) == 0 {
		return &learn.InputError{Problem: "no coating to plan with", Advice: "name at least one coating, with an opaque chip or a test coat"}
	}
	if len(ask.Areas) == 0 {
		return &learn.InputError{Problem: "no area to plan", Advice: "outline at least one area"}
	}
	names := map[string]bool{}
	var meeting []string
	for _, a := range ask.Areas {
		if a.Target == None {
			meeting = append(meeting, a.Name)
		}
		if names[a.Name] {
			return &learn.InputError{Problem: fmt.Sprintf("two areas are called %q", a.Name), Advice: "give each a name of its own"}
		}
		names[a.Name] = true
	}
	if len(meeting) == 1 {
		return &learn.InputError{Problem: fmt.Sprintf("area %q has no target, and no other area to meet", meeting[0]), Advice: "give it a target, or leave out the targets of others too"}
	}
	return ask.Options.check()
}

func (o *Options) check() error {
	switch {
	case !(o.Tolerance >= 0) || math.IsInf(o.Tolerance, 1):
		return &learn.InputError{Problem: fmt.Sprintf("a tolerance of %v", o.Tolerance), Advice: "give a difference in ΔE00, such as 2"}
	case o.MaxCoats < 0 || o.MaxCoats > coatLimit:
		return &learn.InputError{Problem: fmt.Sprintf("at most %d coats", o.MaxCoats), Advice: fmt.Sprintf("give a number of coats from 1 to %d", coatLimit)}
	case !(o.LeastGrain >= 0 && o.LeastGrain <= 1):
		return &learn.InputError{Problem: fmt.Sprintf("a least grain of %v", o.LeastGrain), Advice: "give the share of the contrast to keep, 0 to 1"}
	}
	return nil
}

// checkColour returns what is impossible about a colour that is planned with.
func checkColour(name string, c colour.Lab) error {
	if problem := (&learn.Measured{Lab: c}).Problem(); problem != "" {
		return &learn.InputError{Problem: name + ": " + problem, Advice: learn.AdviceColour}
	}
	return nil
}
