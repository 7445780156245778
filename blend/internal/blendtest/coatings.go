package blendtest

import (
	"math"

	"huewright/blend"
	"huewright/colour"
	"huewright/colour/spectra"
)

// Coatings that are invented.
var (
	RedWash = Invented("red-brown wash", "wash", func(nm float64) blend.Film {
		return blend.Film{K: 0.02 + 0.30/(1+math.Exp((nm-590)/18)), S: 0.05}
	})
	PaleWash = Invented("pale wash", "wash", func(nm float64) blend.Film {
		return blend.Film{K: 0.004 + 0.02/(1+math.Exp((nm-460)/20)), S: 0.25}
	})
	MudGlaze = Invented("mud glaze", "glaze", func(nm float64) blend.Film { return blend.Film{K: 0.35 - 0.2*(nm-380)/350, S: 0.15} })
	BrownDye = Invented("brown dye", "dye", func(nm float64) blend.Film { return blend.Film{K: Sigmoid(0.45, 0.13, (nm-560)/50)} })
)

// Invented makes a coating from its film at each wavelength.
func Invented(name string, kind blend.Kind, film func(nm float64) blend.Film) *blend.Coating {
	c := &blend.Coating{Name: name, Kind: kind}
	for i := range c.Films {
		c.Films[i] = film(spectra.FirstBand + spectra.BandStep*float64(i))
	}
	return c
}

// Sigmoid goes from low to high wavelengths from one value to another.
func Sigmoid(from, to, x float64) float64 { return to + (from-to)/(1+math.Exp(x)) }

// ColourOver is what coats of c make of a wood of the smoothest spectrum.
func ColourOver(c *blend.Coating, ground colour.Lab, coats float64) colour.Lab {
	wood := spectra.Smoothest(ground)
	after := c.Over(&wood, coats)
	return after.Lab()
}

// ThinnedTo returns c at the strength of which one coat moves wood by deltaE; nil when none does.
func ThinnedTo(c *blend.Coating, wood *spectra.Spectrum, deltaE float64) *blend.Coating {
	return Making{}.thinnedTo(c, wood, deltaE)
}
