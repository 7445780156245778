package blendtest

import (
	"bufio"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/fixture"
)

// A palette holds reflectances, 0–1, of paints at 400, 410 … 700 nm by sample and suffix: _b and
// _w the black and the white of the card, _ob and _ow the paint over them.
//
// Source: Geldof, Proaño Gaibor, Kirchner, Ligterink (2018), "Reconstructing Van Gogh's palette to
// determine the optical characteristics of his paints", Heritage Science 6, 17; open data.
type palette map[string][]float64

func ReadPalette(t testing.TB) palette {
	t.Helper()
	f, err := os.Open(fixture.Shared("spectra", "revigo", "revigo-aggregated-palette-spectral-data.txt"))
	if err != nil {
		t.Skipf("the measured paints are not here: %v", err)
	}
	defer f.Close()
	p := palette{}
	for lines := bufio.NewScanner(f); lines.Scan(); {
		name, percents, _ := strings.Cut(lines.Text(), "\t")
		if name == "Name" {
			continue
		}
		for s := range strings.SplitSeq(percents, "\t") {
			v, err := strconv.ParseFloat(s, 64)
			require.NoError(t, err)
			p[name] = append(p[name], v/100)
		}
	}
	return p
}

// twoGrounds returns the film that turns black into onBlack and white into onWhite.
//
// Kubelka (1948) has R = (1 − Rg(a − c)) / (a − Rg + c) with a = (S+K)/S, b = √(a²−1) and
// c = b coth bS for a film of unit thickness. Solved for c that is
//
//	c = (1 + R·Rg − a(R + Rg)) / (R − Rg)
//
// which must be the same number over both grounds: one linear equation for a. Then S = arcoth(c/b)/b.
// It is not ok where noise has left no film that does both.
func twoGrounds(black, white, onBlack, onWhite float64) (f blend.Film, ok bool) {
	overB, overW := onBlack-black, onWhite-white
	a := ((1+onWhite*white)*overB - (1+onBlack*black)*overW) / ((onWhite+white)*overB - (onBlack+black)*overW)
	b := math.Sqrt(a*a - 1)
	c := (1 + onWhite*white - a*(onWhite+white)) / overW
	if !(a > 1 && c > b) {
		return f, false
	}
	s := math.Atanh(b/c) / b
	return blend.Film{K: (a - 1) * s, S: s}, true
}

func (p palette) Film(sample string, nm int) (blend.Film, bool) {
	i := (nm - 400) / 10
	return twoGrounds(p[sample+"_b"][i], p[sample+"_w"][i], p[sample+"_ob"][i], p[sample+"_ow"][i])
}

// Washes returns every paint that can be inverted at all wavelengths, thinned so far that one coat
// moves a pale wood by 7 ΔE00, in order of their names.
func (p palette) Washes(pale *spectra.Spectrum) (all []*blend.Coating) {
	for key := range p {
		sample, over := strings.CutSuffix(key, "_ob")
		if !over {
			continue
		}
		c := &blend.Coating{Name: sample, Kind: "wash"}
		good := true
		for i := range c.Films {
			nm := min(max(spectra.FirstBand+i*spectra.BandStep, 400), 700)
			f, ok := p.Film(sample, nm)
			c.Films[i] = f
			good = good && ok
		}
		if good {
			if wash := ThinnedTo(c, pale, 7); wash != nil {
				all = append(all, wash)
			}
		}
	}
	slices.SortFunc(all, func(a, b *blend.Coating) int { return strings.Compare(a.Name, b.Name) })
	return all
}

// ThinnedTo returns c at the strength of which one coat moves wood by deltaE; nil when none does.
func ThinnedTo(c *blend.Coating, wood *spectra.Spectrum, deltaE float64) *blend.Coating {
	moves := func(times float64) float64 {
		after := c.Over(wood, times)
		return colour.DeltaE2000(wood.Lab(), after.Lab())
	}
	low, high := 0.0, 1e-4
	for moves(high) < deltaE {
		if low, high = high, high*1.2; high > 3 {
			return nil // it looks much like the wood
		}
	}
	for range 60 {
		if middle := (low + high) / 2; moves(middle) < deltaE {
			low = middle
		} else {
			high = middle
		}
	}
	return c.Strength(high)
}

// Plywood is a measured pine plywood, of the spectral library of the US Geological Survey, v7.
func Plywood(t testing.TB) (s spectra.Spectrum) {
	t.Helper()
	files, _ := filepath.Glob(fixture.Shared("spectra", "usgs", "*plywood*.csv"))
	if len(files) == 0 {
		t.Skip("the measured plywood is not here")
	}
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
