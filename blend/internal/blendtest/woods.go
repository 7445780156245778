// Package blendtest holds the woods, coatings and measured paints that tests of coats share, and what they require.
package blendtest

import (
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/fixture"
)

// Species from memory of the trade, ±5.
var (
	Ash    = colour.Lab{L: 78, A: 4, B: 19}
	Oak    = colour.Lab{L: 66, A: 7, B: 21}
	Sapele = colour.Lab{L: 50, A: 14, B: 22}
	Walnut = colour.Lab{L: 46, A: 7, B: 15}
)

// Plywood is a measured pine plywood, of the spectral library of the US Geological Survey, v7.
func Plywood(t testing.TB) (s spectra.Spectrum) {
	t.Helper()
	files := fixture.NeedShared(t, "spectra/usgs/*plywood*.csv")
	data, err := os.ReadFile(files[0])
	require.NoError(t, err)
	for line := range strings.Lines(string(data)) {
		nm, r, _ := strings.Cut(strings.TrimSpace(line), ",")
		at, err := strconv.Atoi(nm)
		if i := (at - spectra.FirstBand) / spectra.BandStep; err == nil && at%spectra.BandStep == 0 && i >= 0 && i < spectra.Bands {
			s[i], err = strconv.ParseFloat(r, 64)
			require.NoError(t, err)
		}
	}
	return s
}

// WoodLike returns a spectrum of about the colour c that is not the smoothest one but what a
// wood's own substance makes: absorption over scattering that falls with wavelength like an
// exponential, as lignin's does, above a constant part, with a broad band in the green that is
// the stronger the redder the wood, as coloured extractives have it. Shapes from memory.
func WoodLike(t testing.TB, c colour.Lab) spectra.Spectrum {
	t.Helper()
	redness := max(0, 0.05*c.A)
	spectrum := func(p [3]float64) (s spectra.Spectrum) {
		for i := range s {
			nm := spectra.FirstBand + spectra.BandStep*float64(i)
			z := (nm - 515) / 50
			lignin, extractives := math.Exp(p[0]-(nm-500)*math.Exp(p[1])), redness*math.Exp(p[0]-z*z/2)
			s[i] = blend.Film{K: lignin + extractives + math.Exp(p[2]), S: 1}.Limit()
		}
		return s
	}
	off := func(p [3]float64) float64 {
		s := spectrum(p)
		return colour.DeltaE76(s.Lab(), c)
	}
	p := [3]float64{math.Log(0.5), math.Log(1.0 / 80), math.Log(0.02)}
	for step := 0.5; step > 1e-4; {
		before := off(p)
		for i := range p {
			for _, d := range []float64{step, -step} {
				q := p
				q[i] += d
				if off(q) < off(p) {
					p = q
				}
			}
		}
		if off(p) == before {
			step /= 2
		}
	}
	require.Less(t, off(p), 6.0, "%v", c)
	return spectrum(p)
}
