package blendtest

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/colour"
	"huewright/colour/spectra"
)

var (
	Ash = colour.Lab{L: 78, A: 4, B: 19} // species from memory of the trade, ±5
)

var (
	Oak = colour.Lab{L: 66, A: 7, B: 21}
)

var (
	Sapele = colour.Lab{L: 50, A: 14, B: 22}
)

var (
	Walnut = colour.Lab{L: 46, A: 7, B: 15}
)

var (
	RedWash = Invented("red-brown wash", "wash", func(nm float64) blend.Film {
		return blend.Film{K: 0.02 + 0.30/(1+math.Exp((nm-590)/18)), S: 0.05}
	})
)

// Invented makes a coating from its film at each wavelength.
func Invented(name string, kind blend.Kind, film func(nm float64) blend.Film) *blend.Coating {
	c := &blend.Coating{Name: name, Kind: kind}
	for i := range c.Films {
		c.Films[i] = film(spectra.FirstBand + spectra.BandStep*float64(i))
	}
	return c
}

// ColourOver is what coats of c make of a wood of the smoothest spectrum.
func ColourOver(c *blend.Coating, ground colour.Lab, coats float64) colour.Lab {
	wood := spectra.Smoothest(ground)
	after := c.Over(&wood, coats)
	return after.Lab()
}

func RequireHint(t *testing.T, err error, want string) {
	t.Helper()
	require.ErrorContains(t, err, want)
	var hinted interface{ Hint() string }
	require.ErrorAs(t, err, &hinted)
	require.NotEmpty(t, hinted.Hint())
}
