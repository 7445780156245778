package learn

import (
	"math"

	"huewright/blend"
	"huewright/colour/spectra"
)

// A clearComponent is the model of the clear coat.
type clearComponent struct{ seen []observation }

func newClearComponent(e *ClearEvidence, r *readings) *clearComponent {
	c := &clearComponent{}
	for _, s := range e.Spots {
		substrate := r.indexOf(s.Before)
		c.seen = append(c.seen, observation{
			seen: s.After.Lab, ground: r.priors[substrate].Mean, reading: r.indexOf(s.After), substrate: substrate, misfit: clearMisfit,
		})
	}
	return c
}

// The prior of a clear coat: it takes 5 to 12 off L* (typical size, from memory, no source), and is a little yellow.
// The unknowns are the logit of the wetting and the logarithm of the amber.
const (
	meanWetting, wettingSD = 0.0, 0.8
	amberSD                = 1.0
	clearMisfit            = 0.7 // in each of L*, a*, b*
)

var meanAmber = math.Log(0.03)

const (
	atWetting = iota
	atAmber
	clearUnknowns
)

// clearCoat returns the clear coat whose unknowns are at.
func clearCoat(at []float64) blend.ClearCoat {
	return blend.ClearCoat{Wetting: 1 / (1 + math.Exp(-at[atWetting])), Amber: math.Exp(at[atAmber])}
}

func (c *clearComponent) size() int { return clearUnknowns }

func (c *clearComponent) observations() []observation { return c.seen }

func (c *clearComponent) starts() [][]float64 { return [][]float64{{meanWetting, meanAmber}} }

func (c *clearComponent) prior() (l priorTerms) {
	l.add(meanWetting/wettingSD, []float64{1 / wettingSD, 0})
	l.add(meanAmber/amberSD, []float64{0, 1 / amberSD})
	return l
}

func (c *clearComponent) predict(i int, at []float64, slopes *[3][]float64, from int) [3]float64 {
	lab := func(at []float64) [3]float64 {
		s := clearCoat(at).Over(&c.seen[i].ground)
		c := s.Lab()
		return [3]float64{c.L, c.A, c.B}
	}
	const h = 1e-4
	for k := range at {
		moved := [clearUnknowns]float64(at)
		moved[k] += h
		up := lab(moved[:])
		moved[k] -= 2 * h
		down := lab(moved[:])
		for axis := range slopes {
			slopes[axis][from+k] = (up[axis] - down[axis]) / (2 * h)
		}
	}
	return lab(at)
}

func (c *clearComponent) sensitivity(i int, at []float64) (l sensitivity) {
	const h = 1e-4
	ground := &c.seen[i].ground
	clear := clearCoat(at)
	seen := clear.Over(ground)
	up := *ground
	for band := range up {
		up[band] += h
	}
	moved := clear.Over(&up) // each band depends on itself alone
	by := spectra.BandJacobian(&seen)
	for axis := range by {
		for band, slope := range by[axis] {
			l.ground[axis][band] = slope * (moved[band] - seen[band]) / h
		}
	}
	return l
}
