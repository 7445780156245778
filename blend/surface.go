package blend

import "slices"

// A Surface is the state of a surface before a coating goes on; one of Surfaces. It decides how much of the first coat
// it takes up, and which colours may be compared.
type Surface string

// The states of a surface. Non-absorbing is epoxy, filler, glue and sanded-through veneer; porous
// is putty and end grain, which take up more than the wood.
const (
	Bare         Surface = "bare"
	Sealed       Surface = "sealed"
	ClearCoated  Surface = "clear-coated"
	NonAbsorbing Surface = "non-absorbing"
	Porous       Surface = "porous"
)

// Surfaces are all states, as a piece file names them.
var Surfaces = []string{string(Bare), string(Sealed), string(ClearCoated), string(NonAbsorbing), string(Porous)}

// Known reports whether s is one of Surfaces.
func (s Surface) Known() bool { return slices.Contains(Surfaces, string(s)) }

// Absorbs reports whether a first coat soaks into s. An unknown surface counts as sealed.
func (s Surface) Absorbs() bool { return s == Bare || s == Porous }

// A PutOn is how a coating is put on; one of PutOns.
type PutOn string

// The ways to put a coating on. What is brushed or sprayed is left on, each coat as much film as
// the one before; what is wiped off again leaves less each time.
const (
	Brushed PutOn = "brushed"
	Sprayed PutOn = "sprayed"
	Wiped   PutOn = "wiped"
)

// PutOns are all ways, as a piece file names them.
var PutOns = []string{string(Brushed), string(Sprayed), string(Wiped)}

// Known reports whether p is one of PutOns.
func (p PutOn) Known() bool { return slices.Contains(PutOns, string(p)) }

// Variability returns the application variability: the standard deviation of the logarithm of the film that each coat
// leaves, from coat to coat. Common practice has no figures: these are starting values of our own.
func (p PutOn) Variability() float64 {
	if p == Sprayed {
		return 0.10
	}
	return 0.15
}
