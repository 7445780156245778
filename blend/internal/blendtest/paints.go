package blendtest

import (
	"bufio"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/colour/spectra"
	"huewright/internal/bench"
	"huewright/internal/fixture"
)

// A palette holds reflectances, 0–1, of paints at 400, 410 … 700 nm by sample and suffix: _b and
// _w the black and the white of the card, _ob and _ow the paint over them.
//
// Source: Geldof, Proaño Gaibor, Kirchner, Ligterink (2018), "Reconstructing Van Gogh's palette to
// determine the optical characteristics of his paints", Heritage Science 6, 17; open data.
type palette map[string][]float64

// ReadPalette reads the measured paints; where they are missing it skips the test.
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

// Film returns the film of a sample at a wavelength in nm.
func (p palette) Film(sample string, nm int) (blend.Film, bool) { return p.film(Making{}, sample, nm) }

// film returns the film that, made so, has the measured colours over black and white.
func (p palette) film(m Making, sample string, nm int) (blend.Film, bool) {
	i := (nm - 400) / 10
	at := func(over string) float64 { return bench.Making(m).Inside(p[sample+over][i]) }
	return twoGrounds(at("_b"), at("_w"), at("_ob"), at("_ow"))
}

// hides is how far a paint over white may differ from the same over black where it counts as opaque.
const hides = 0.03

// Chip returns the spectrum of a sample laid on until nothing shows through, its gloss in it as it was measured: of its film where it can
// be inverted, of the sample itself where it is opaque, and beyond these and the ends as at the nearest wavelength. It is not ok where
// there is none.
func (p palette) Chip(sample string) (s spectra.Spectrum, ok bool) {
	var at []int
	limit := map[int]float64{}
	for i, onBlack := range p[sample+"_ob"] {
		nm, onWhite := 400+10*i, p[sample+"_ow"][i]
		if f, inverts := p.Film(sample, nm); inverts {
			limit[nm] = f.Limit()
		} else if math.Abs(onWhite-onBlack) <= hides {
			limit[nm] = (onBlack + onWhite) / 2
		} else {
			continue
		}
		at = append(at, nm)
	}
	for i := range s {
		nearest, off := 0, math.Inf(1)
		for _, nm := range at {
			if d := math.Abs(float64(nm - spectra.FirstBand - i*spectra.BandStep)); d < off {
				nearest, off = nm, d
			}
		}
		s[i] = limit[nearest]
	}
	return s, len(at) > 0
}

// Paints returns every paint that can be inverted at all wavelengths, made so, as it was laid on the card and in
// order of their names.
func (p palette) Paints(m Making) (all []*blend.Coating) {
	for key := range p {
		sample, over := strings.CutSuffix(key, "_ob")
		if !over {
			continue
		}
		c := &blend.Coating{Name: sample, Kind: "wash"}
		good := true
		for i := range c.Films {
			f, ok := p.film(m, sample, min(max(spectra.FirstBand+i*spectra.BandStep, 400), 700))
			c.Films[i] = f
			good = good && ok
		}
		if good {
			all = append(all, c)
		}
	}
	slices.SortFunc(all, func(a, b *blend.Coating) int { return strings.Compare(a.Name, b.Name) })
	return all
}

// Washes returns the paints, thinned so far that one coat moves a pale wood by so many ΔE00.
func (p palette) Washes(m Making, pale *spectra.Spectrum, deltaE float64) (all []*blend.Coating) {
	for _, c := range p.Paints(m) {
		if wash := m.thinnedTo(c, pale, deltaE); wash != nil {
			all = append(all, wash)
		}
	}
	return all
}

// A Mixture is a measured paint that was weighed out of two others.
type Mixture struct {
	Name, Of, And string  // samples: of the mixture and of its two parts
	Share         float64 // of Of, by weight
}

// Mixtures returns the mixtures of two paints that were both measured by themselves too, in order of their names.
func (p palette) Mixtures(t testing.TB) (all []Mixture) {
	t.Helper()
	text, err := os.ReadFile(fixture.NeedShared(t, "spectra/revigo/revigo-mixture-specifications.txt")[0])
	require.NoError(t, err)
	type parts struct {
		sample string
		names  []string
		shares []float64
	}
	var specs []parts
	alone := map[string]string{} // samples of one paint, by its name
	for line := range strings.Lines(string(text)) {
		sample, rest, _ := strings.Cut(strings.TrimSpace(line), "\t")
		names, percents, _ := strings.Cut(rest, "|")
		s := parts{sample: sample}
		for i, percent := range strings.Split(percents, "-") {
			v, err := strconv.ParseFloat(percent, 64)
			require.NoError(t, err)
			if v > 0 {
				s.names, s.shares = append(s.names, strings.Split(names, "-")[i]), append(s.shares, v)
			}
		}
		if len(p[sample+"_ob"]) == 0 {
			continue
		}
		if len(s.names) == 1 {
			if alone[s.names[0]] == "" || sample < alone[s.names[0]] {
				alone[s.names[0]] = sample
			}
		}
		specs = append(specs, s)
	}
	for _, s := range specs {
		if len(s.names) == 2 && alone[s.names[0]] != "" && alone[s.names[1]] != "" {
			all = append(all, Mixture{s.sample, alone[s.names[0]], alone[s.names[1]], s.shares[0] / (s.shares[0] + s.shares[1])})
		}
	}
	slices.SortFunc(all, func(a, b Mixture) int { return strings.Compare(a.Name, b.Name) })
	return all
}
