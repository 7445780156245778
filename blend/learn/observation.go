package learn

import (
	"huewright/blend"
	"huewright/colour"
	"huewright/colour/spectra"
)

// An observation is a colour that was measured of a component: of a coating's chip, of its coats on a substrate, or
// of a substrate under the clear coat.
type observation struct {
	seen   colour.Lab
	opaque bool             // an opaque chip, without a substrate
	ground spectra.Spectrum // prior spectrum of the substrate
	application

	reading, substrate int // indices of the two readings; substrate is −1 for a chip
	hand
	misfit float64 // standard deviation, in each of L*, a*, b*, of what the model cannot predict
}

// An application is how coats were laid.
type application struct {
	coats   float64
	share   float64 // strength of the mix over that of the mix to be planned
	surface blend.Surface
	wiped   bool
	onPiece bool // and not on a test board
	wood    int  // number among the component's woods, from 1; 0 for none
}

// A sensitivity is the derivative of a prediction, in L*, a*, b*, by what is no unknown of its component: the
// reflectance of the substrate in each band, and the logarithm of the film.
type sensitivity struct {
	ground [3][spectra.Bands]float64
	film   [3]float64
}
