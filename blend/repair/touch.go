package repair

import (
	"huewright/blend"
	"huewright/colour"
	"huewright/colour/spectra"
)

// A touch is some touches of a coating, thinned, and what a repair then looks like.
type touch struct {
	coating  string
	strength float64 // of the mix the coating stands for, 1 for as it is
	touches  int
	after    colour.Lab
	before   float64 // ΔE00 from the wood, now
	deltaE   float64 // and then
}

const (
	mostTouches = 3
	worthATouch = colour.Perceptible // ΔE00 that touches must gain
)

// touchStrengths are how thin a touch may be: an artist's brush is loaded thin.
var touchStrengths = []float64{1, 0.5, 0.25}

// bestTouch finds which coating of the shelf, how thin and how often, brings a repair nearest to its
// wood. ok is false where none gains what an eye could see.
func bestTouch(l *Appearance, shelf []blend.Coating) (best touch, ok bool) {
	wood := l.Repair.Ring.Mean
	ground := spectra.PriorSpectrum(l.Repair.Patch.Mean)
	best.before = colour.DeltaE2000(wood, l.Repair.Patch.Mean)
	best.deltaE = best.before
	for i := range shelf {
		c := &shelf[i]
		for _, strength := range touchStrengths {
			for n := 1; n <= mostTouches; n++ {
				s := c.Over(&ground, strength*c.Thickness(float64(n), blend.NonAbsorbing, nil))
				after := s.Lab()
				if d := colour.DeltaE2000(wood, after); d < best.deltaE {
					best = touch{c.Name, strength, n, after, best.before, d}
				}
			}
		}
	}
	return best, best.deltaE <= best.before-worthATouch
}
