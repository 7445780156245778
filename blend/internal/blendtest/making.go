package blendtest

import (
	"math"

	"huewright/blend"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/bench"
)

// A Making is a way in which paints make colour on a bench, other than the model that is learned with: truth must not
// agree with a learner for the wrong reason.
type Making bench.Making

// Over returns the spectrum of a film, in coats, of c over a wood.
func (m Making) Over(c *blend.Coating, wood *spectra.Spectrum, bare bool, coats float64) spectra.Spectrum {
	wash := bench.Wash{Films: c.Films, Making: bench.Making(m)}
	if !bare {
		wash.Making = bench.Making{Surface: m.Surface}
	}
	var ground spectra.Spectrum
	for i, r := range wood {
		ground[i] = min(max(r, 0), 1)
	}
	return wash.Over(&ground, coats)
}

// Limit returns the spectrum of the opaque coating.
func (m Making) Limit(c *blend.Coating) spectra.Spectrum {
	wash := bench.Wash{Films: c.Films, Making: bench.Making(m)}
	return wash.Opaque()
}

// thinnedTo returns c at the strength of which one coat on a sealed wood moves it by deltaE; nil when none does.
func (m Making) thinnedTo(c *blend.Coating, wood *spectra.Spectrum, deltaE float64) *blend.Coating {
	moves := func(times float64) float64 {
		before, after := m.Over(c, wood, false, 0), m.Over(c, wood, false, times)
		return colour.DeltaE2000(before.Lab(), after.Lab())
	}
	low, high := 0.0, 1e-4
	for moves(high) < deltaE {
		if low, high = high, high*1.2; high > 3 {
			return nil // it looks much like the wood
		}
	}
	for range 60 {
		if middle := math.Sqrt(max(low, high/1.3) * high); moves(middle) < deltaE {
			low = middle
		} else {
			high = middle
		}
	}
	return c.Strength(high)
}
