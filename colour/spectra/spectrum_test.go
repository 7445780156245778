package spectra_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/colour/internal/colourtest"
	"huewright/colour/spectra"
)

// whites are the published whites of the lights.
var whites = map[*spectra.Light]colour.XYZ{
	spectra.LightD65:     colour.WhiteD65,
	spectra.LightA:       colour.WhiteA,
	spectra.LightWarmLED: colour.WhiteOf(0.4560, 0.4078),
}

func lights(t testing.TB) map[*spectra.Light]colourtest.Curve {
	return map[*spectra.Light]colourtest.Curve{
		spectra.LightD65:     colourtest.Illuminant(t, "D65"),
		spectra.LightA:       colourtest.IlluminantA(360, 780),
		spectra.LightWarmLED: colourtest.Illuminant(t, "LED-B1"),
	}
}

// weightsOf is the table that light_tables.go should hold for a light.
func weightsOf(t testing.TB, light colourtest.Curve) [][]float64 {
	return colourtest.Truncate(colourtest.Weights(light, colourtest.Cut(colourtest.Observer2(t), 780), 10), 2, 37)
}

// flat is a neutral surface.
func flat(r float64) (s spectra.Spectrum) {
	for i := range s {
		s[i] = r
	}
	return s
}

// The tables in light_tables.go against what ASTM E2022 and E308 make of their sources, once
// each column is scaled to the published white. That scale is within 5e-4 of 1.
func TestLightTables(t *testing.T) {
	for l, source := range lights(t) {
		want := weightsOf(t, source)
		sum := columnSums(want)
		for k, white := range []float64{whites[l].X, whites[l].Y, whites[l].Z} {
			require.InEpsilon(t, sum[k], 100*white, 5e-4, l.Name)
			for _, row := range want {
				row[k] *= 100 * white / sum[k]
			}
		}
		for i := range spectra.Bands {
			var one spectra.Spectrum
			one[i] = 1
			got := one.XYZ(l)
			for k, v := range []float64{got.X, got.Y, got.Z} {
				require.InDelta(t, want[i][k], 100*v, 1e-6, "%s %d nm", l.Name, spectra.FirstBand+spectra.BandStep*i)
			}
		}
	}
}

func columnSums(table [][]float64) [3]float64 {
	var sum [3]float64
	for _, row := range table {
		for k, v := range row {
			sum[k] += v
		}
	}
	return sum
}

// colour-science (BSD-3), tests of sd_to_XYZ_ASTME308: a sample measured over 400–700 nm every
// 10 nm under A. It goes on flat beyond its ends, as Spectrum does; X and Z are rescaled
// because ours meet the white 1.09850, 1, 0.35585 exactly and theirs within 2e-4.
func TestSpectrumXYZWorkedExample(t *testing.T) {
	sample := colourtest.ReadNumbers(t, "examples/e2022_SD_SAMPLE.csv")
	var s spectra.Spectrum
	for i := range s {
		nm := min(max(spectra.FirstBand+spectra.BandStep*i, 400), 700)
		s[i] = sample[(nm-340)/5][1]
	}
	white := columnSums(colourtest.Weights(colourtest.IlluminantA(360, 780), colourtest.Cut(colourtest.Observer2(t), 780), 10))
	got := s.XYZ(spectra.LightA)
	require.InDelta(t, 14.54137532, got.X/colour.WhiteA.X*white[0], 2e-7)
	require.InDelta(t, 10.88641727, got.Y*100, 2e-7)
	require.InDelta(t, 2.04931318, got.Z/colour.WhiteA.Z*white[2], 2e-7)
}

// CIE 15:2018 gives LED-B1 the chromaticity .4560, .4078 and 2733 K.
func TestFlatSpectraAreNeutralInEveryLight(t *testing.T) {
	for l, published := range whites {
		white := flat(1)
		got := white.XYZ(l)
		require.InDelta(t, published.X, got.X, 1e-14)
		require.InDelta(t, published.Y, got.Y, 1e-14)
		require.InDelta(t, published.Z, got.Z, 1e-14)
		colourtest.RequireLab(t, colour.Lab{L: 100}, white.LabUnder(l), 1e-11)
		for _, r := range []float64{0, 0.001, 0.03, 0.4} {
			grey := flat(r)
			colourtest.RequireLab(t, grey.Lab(), grey.LabUnder(l), 1e-11)
			require.InDelta(t, 0, grey.Lab().LCh().C, 1e-11)
		}
	}
}

func TestLabUnderD65IsLab(t *testing.T) {
	for _, s := range chartSpectra(t) {
		colourtest.RequireLab(t, s.Lab(), s.LabUnder(spectra.LightD65), 1e-11)
	}
}

// spectrumOf samples a column of c at the bands; data that stop short go on flat.
func spectrumOf(c colourtest.Curve, column int) *spectra.Spectrum {
	var s spectra.Spectrum
	for i := range s {
		nm := spectra.FirstBand + spectra.BandStep*i
		s[i] = c.At(min(max(nm, c.Start), c.End()), column)
	}
	return &s
}

func chartSpectra(t testing.TB) []*spectra.Spectrum {
	c := colourtest.ReadCurve(t, "spectra/colour_science/chart24_n_ohta.csv")
	var all []*spectra.Spectrum
	for column := range c.Rows[0] {
		all = append(all, spectrumOf(c, column))
	}
	require.Len(t, all, 24)
	return all
}

func plywood(t testing.TB) colourtest.Curve {
	return colourtest.ReadCurve(t, "spectra/usgs/usgs_splib07a_plywood_GDS365_fresh_pine_5nm.csv")
}

// Thirty-six bands against the sum over every nanometre of 24 chart spectra and plywood, all
// published every 5 nm. What differs is detail finer than 10 nm and what lies beyond 730 nm:
// most, 0.14 ΔE*ab, in the chart's deep blue.
func TestBandsAgainstFullIntegration(t *testing.T) {
	observer := colourtest.Observer2(t)
	chart := colourtest.ReadCurve(t, "spectra/colour_science/chart24_n_ohta.csv")
	for l, light := range lights(t) {
		difference := func(c colourtest.Curve, column int) float64 {
			var full, white [3]float64
			for i, row := range observer.Rows {
				nm := observer.Start + i
				r := c.At(min(max(nm, c.Start), c.End()), column)
				for k, v := range row {
					full[k] += r * v * light.At(nm, 0)
					white[k] += v * light.At(nm, 0)
				}
			}
			want := colour.XYZ{X: full[0] / white[0] * whites[l].X, Y: full[1] / white[1], Z: full[2] / white[2] * whites[l].Z}
			got, ref := spectrumOf(c, column).XYZ(l).LabUnder(whites[l]), want.LabUnder(whites[l])
			return math.Hypot(math.Hypot(got.L-ref.L, got.A-ref.A), got.B-ref.B)
		}
		for column := range chart.Rows[0] {
			require.Less(t, difference(chart, column), 0.15, "%s, chart column %d", l.Name, column)
		}
		require.Less(t, difference(plywood(t), 0), 0.02, "%s, plywood", l.Name)
	}
}

// Spectra of one chart, and the Lab under D50 published for its make before November 2014:
// different charts, so they agree only as well as charts do (mean ΔE00 0.97, worst 1.7).
func TestSpectraAgainstPublishedChartColours(t *testing.T) {
	published := colourtest.ReadShared(t, "examples/chart24_reference.csv")[1:]
	weights := weightsOf(t, colourtest.Illuminant(t, "D50"))
	sum := columnSums(weights)
	mean := 0.0
	for i, s := range chartSpectra(t) {
		number := func(column int) float64 { return colourtest.Number(t, published[i][column]) }
		want := colour.Lab{L: number(2), A: number(3), B: number(4)}
		var share [3]float64 // of a perfect white's X, Y, Z under D50
		for band, row := range weights {
			for k, w := range row {
				share[k] += s[band] * w / sum[k]
			}
		}
		got := colour.XYZ{X: share[0] * colour.WhiteD50.X, Y: share[1], Z: share[2] * colour.WhiteD50.Z}
		d := colour.DeltaE2000(want, got.LabUnder(colour.WhiteD50))
		require.Less(t, d, 2.0, published[i][1])
		mean += d / 24
	}
	require.Less(t, mean, 1.0)
}

// A real surface and the smoothest one of the same colour match in daylight, but some such
// matches break under a lamp, which is what LabUnder is for.
func TestLabUnderShowsMetamerism(t *testing.T) {
	broken := 0
	for _, real := range chartSpectra(t) {
		smooth := spectra.Smoothest(real.Lab())
		require.InDelta(t, 0, colour.DeltaE2000(real.Lab(), smooth.Lab()), 1e-6)
		if colour.DeltaE2000(real.LabUnder(spectra.LightA), smooth.LabUnder(spectra.LightA)) > colour.Perceptible {
			broken++
		}
	}
	require.Positive(t, broken)
}

func BenchmarkSpectrumXYZ(b *testing.B) {
	s := flat(0.4)
	for b.Loop() {
		s.XYZ(spectra.LightD65)
	}
}
