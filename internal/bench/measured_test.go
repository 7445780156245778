package bench

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/colour/spectra"
	"huewright/internal/figure"
	"huewright/internal/fixture"
)

// column is a spectrum as published, by wavelength in nanometres.
type column map[int]float64

// band is the mean over a band: half of its own value, a quarter of those 5 nm to either side, where they are published.
func (c column) band(i int) float64 {
	nm := int(wavelength(i))
	sum, weights := 0.0, 0.0
	for off, weight := range map[int]float64{-5: 0.25, 0: 0.5, 5: 0.25} {
		if v, published := c[nm+off]; published {
			sum, weights = sum+weight*v, weights+weight
		}
	}
	if weights == 0 {
		return math.NaN()
	}
	return sum / weights
}

// columnsOf reads a table of spectra, a column each, by their headings.
func columnsOf(t *testing.T, name string) (headings []string, columns map[string]column) {
	t.Helper()
	f, err := os.Open(fixture.NeedShared(t, "spectra/colour_science/"+name)[0])
	require.NoError(t, err)
	defer f.Close()
	table := csv.NewReader(f)
	table.Comment = '#'
	rows, err := table.ReadAll()
	require.NoError(t, err)
	headings, columns = rows[0][1:], map[string]column{}
	for k, heading := range headings {
		columns[heading] = column{}
		for _, row := range rows[1:] {
			nm, err := strconv.ParseFloat(row[0], 64)
			require.NoError(t, err)
			if v, err := strconv.ParseFloat(row[k+1], 64); err == nil {
				columns[heading][int(nm)] = v
			}
		}
	}
	return headings, columns
}

// measuredLamps are the published lights of a kind.
func measuredLamps(t *testing.T, kind string) (lamps []Lamp) {
	t.Helper()
	add := func(table string, wanted func(heading string) bool) {
		headings, columns := columnsOf(t, table)
		for _, heading := range headings {
			if !wanted(heading) {
				continue
			}
			lamp := Lamp{Name: kind}
			for band := range lamp.power {
				lamp.power[band] = columns[heading].band(band)
				require.False(t, math.IsNaN(lamp.power[band]), "%s at %g nm", heading, wavelength(band))
			}
			lamps = append(lamps, lamp)
		}
	}
	prefixed := func(prefixes ...string) func(string) bool {
		return func(heading string) bool {
			return slices.ContainsFunc(prefixes, func(p string) bool { return strings.HasPrefix(heading, p) })
		}
	}
	switch kind {
	case "daylight":
		add("illuminants_cie.csv", prefixed("D5", "D6", "D7"))
	case "filament":
		add("illuminants_cie.csv", func(heading string) bool { return heading == "A" })
	case "fluorescent tubes":
		add("light_sources_rit.csv", func(heading string) bool { return heading != "Natural" })
	case "white LED lamps":
		add("illuminants_cie.csv", prefixed("LED-B", "LED-V"))
		add("light_sources_nist_led.csv", prefixed("PHOS", "Phosphor"))
	}
	require.NotEmpty(t, lamps)
	return lamps
}

// measuredCameras are published sensitivities, in order of their names: every third for figures, the others for whoever wants to tune the
// bench.
func measuredCameras(t *testing.T) (forFigures, forTuning []*sensitivities) {
	t.Helper()
	paths := fixture.NeedShared(t, "spectra/cameras/*_380_780_5.json")
	slices.SortFunc(paths, func(a, b string) int { return strings.Compare(filepath.Base(a), filepath.Base(b)) })
	for i, path := range paths {
		raw, err := os.ReadFile(path)
		require.NoError(t, err)
		var file struct {
			SpectralData struct {
				Data struct{ Main map[string][3]float64 }
			} `json:"spectral_data"`
		}
		require.NoError(t, json.Unmarshal(raw, &file))
		s := &sensitivities{}
		for channel := range 3 {
			c := column{}
			for nm, values := range file.SpectralData.Data.Main {
				at, err := strconv.Atoi(nm)
				require.NoError(t, err)
				c[at] = values[channel]
			}
			for band := range s {
				s[band][channel] = c.band(band)
				require.False(t, math.IsNaN(s[band][channel]), "%s at %g nm", path, wavelength(band))
			}
		}
		if i%3 == 2 {
			forFigures = append(forFigures, s)
		} else {
			forTuning = append(forTuning, s)
		}
	}
	return forFigures, forTuning
}

// measuredChart are the reflectances of a chart's patches, row by row.
func measuredChart(t *testing.T) (patches [24]spectra.Spectrum) {
	t.Helper()
	headings, columns := columnsOf(t, "chart24_babelcolor_average.csv")
	require.Len(t, headings, 24)
	for i, heading := range headings {
		for band := range patches[i] {
			v, published := columns[heading][int(wavelength(band))]
			require.True(t, published)
			patches[i][band] = v
		}
	}
	return patches
}

// chartBy is a chart as the camera records it, but for noise and unevenness.
func (c *Camera) chartBy(chart *[24]spectra.Spectrum) (samples [24]camera.Sample) {
	sees, r := newSensor(c), newRendering(c)
	linear := func(e float64) float64 {
		e = math.Round(255*clamp01(e)) / 255
		if e <= 0.04045 {
			return e / 12.92
		}
		return math.Pow((e+0.055)/1.055, 2.4)
	}
	for i := range chart {
		px := r.pixel(sees.picture(&chart[i]))
		samples[i] = camera.Sample{
			Name: fmt.Sprint("patch ", i+1), Want: chart[i].Lab(),
			Camera: colour.LinearRGB{R: linear(px[0]), G: linear(px[1]), B: linear(px[2])},
			At:     camera.Position{X: (float64(i%6)+0.5)/6 - 0.5, Y: (float64(i/6)+0.5)/4 - 0.5},
		}
	}
	return samples
}

// A lampRow is what a chart and a grey card come to under one kind of lamp.
type lampRow struct {
	charts, all, near  float64 // left-out errors with a chart: sums of means
	off, held, patches float64 // near wood, by a grey card
	pairs, pairsHeld   float64 // differences of two of them
}

func (row *lampRow) add(t *testing.T, c *Camera, chart *[24]spectra.Spectrum) {
	t.Helper()
	samples := c.chartBy(chart)
	_, report, err := camera.Fit(samples[:])
	require.NoError(t, err)
	row.charts, row.all, row.near = row.charts+1, row.all+report.LOOMean, row.near+report.LOONearWood
	card := samples[21]
	card.At = camera.Position{}
	byCard, _, err := camera.Fit([]camera.Sample{card})
	require.NoError(t, err)
	var got, wrong []colour.Lab
	for i, s := range samples {
		if i == 21 || !camera.NearWood(s.Want) {
			continue
		}
		l := byCard.Lab(s.Camera)
		mine := colour.Lab{L: s.Want.L - l.L, A: s.Want.A - l.A, B: s.Want.B - l.B}
		row.patches++
		off := colour.DeltaE2000(s.Want, l)
		row.off += off
		if off <= byCard.PlusMinus(l) {
			row.held++
		}
		for k, other := range got {
			row.pairs++
			d := colour.DeltaE2000(l, colour.Lab{L: l.L + mine.L - wrong[k].L, A: l.A + mine.A - wrong[k].A, B: l.B + mine.B - wrong[k].B})
			if d <= byCard.PlusMinusBetween(l, other) {
				row.pairsHeld++
			}
		}
		got, wrong = append(got, l), append(wrong, mine)
	}
}

func (row *lampRow) String() string {
	return fmt.Sprintf("%.1f / %.1f; %.1f, %.0f %%, %.0f %% (n = %.0f)", row.all/row.charts, row.near/row.charts,
		row.off/row.patches, 100*row.held/row.patches, 100*row.pairsHeld/row.pairs, row.charts)
}

// TestMeasuredCameras takes the chart by cameras and lamps that were measured, beside drawn ones, rendered as phones render: what is left
// out of a chart, and what a grey card leaves wrong near wood. Colours are those in daylight, so that lamps of few lines cost what they
// cost.
//
// The drawn ones were made before any was measured, so that nothing was tuned to these; they are to be no further from them than they are.
func TestMeasuredCameras(t *testing.T) {
	forFigures, _ := measuredCameras(t)
	chart := measuredChart(t)
	kinds := []string{"daylight", "filament", "fluorescent tubes", "white LED lamps"}
	for _, kind := range kinds {
		lamps := measuredLamps(t, kind)
		var drawn, measured lampRow
		for i, s := range forFigures {
			for n, lamp := range lamps {
				c := DrawCamera(uint64(7000+100*i+n), Phone)
				c.Lamp = lamp
				drawn.add(t, &c, &chart)
				c.measured = s
				measured.add(t, &c, &chart)
			}
		}
		figure.Report(t, "cameras and lamps/"+kind+"/drawn", "%v", &drawn)
		figure.Report(t, "cameras and lamps/"+kind+"/measured", "%v", &measured)
		require.InDelta(t, measured.near/measured.charts, drawn.near/drawn.charts, 0.5)
		require.GreaterOrEqual(t, measured.held/measured.patches, 0.9)
		require.GreaterOrEqual(t, measured.pairsHeld/measured.pairs, 0.9)
	}
}

// The matrices by which measured sensors are mixed into a picture in daylight: their mean is colour/camera's usualMixing. What it foretells
// of a photo whose white is balanced by 5 % otherwise in each channel is off by a seventh.
func TestMixingOfMeasuredSensors(t *testing.T) {
	usual := mat.NewDense(3, 3, []float64{1.915, -0.915, 0, -0.194, 1.662, -0.468, 0.075, -0.674, 1.599})
	_, cameras := measuredCameras(t)
	mean := mat.NewDense(3, 3, nil)
	rng := rand.New(rand.NewPCG(5, 0x3195))
	off, all := 0.0, 0.0
	for _, s := range cameras {
		for _, kelvin := range []float64{5000, 6500} {
			c := Camera{Lamp: Daylight(kelvin), Exposure: 1, Balance: [3]float64{1, 1, 1}, measured: s}
			own := mat.NewDense(3, 3, nil)
			for i, row := range newSensor(&c).toSRGB {
				own.SetRow(i, row[:])
			}
			mean.Add(mean, own)
			for range 20 {
				light := mat.NewVecDense(3, nil) // of a grey, by this sensor
				light.MulVec(own, mat.NewVecDense(3, []float64{
					math.Exp(0.05 * rng.NormFloat64()), math.Exp(0.05 * rng.NormFloat64()), math.Exp(0.05 * rng.NormFloat64())}))
				is, expected := mixedAnew(own, light), mixedAnew(usual, light)
				all += math.Pow(mat.Norm(expected, 2), 2)
				is.Sub(is, expected)
				off += math.Pow(mat.Norm(is, 2), 2)
			}
		}
	}
	mean.Scale(1/float64(2*len(cameras)), mean)
	require.True(t, mat.EqualApprox(mean, usual, 0.001), "%.3f", mat.Formatted(mean))
	figure.Report(t, "mixing/off by", "%.2f", math.Sqrt(off/all))
	require.Less(t, math.Sqrt(off/all), 0.25)
}

// mixedAnew is what a picture's channels are mixed by, beside their gains, where its white is balanced so that a grey shows this light.
func mixedAnew(m *mat.Dense, light *mat.VecDense) *mat.Dense {
	var balance mat.VecDense
	var back, mixed mat.Dense
	_ = balance.SolveVec(m, light)
	_ = back.Inverse(m)
	by, gains := mat.NewDiagDense(3, nil), mat.NewDiagDense(3, nil)
	for k := range 3 {
		by.SetDiag(k, 1/balance.AtVec(k))
		gains.SetDiag(k, light.AtVec(k))
	}
	mixed.Product(m, by, &back, gains)
	for k := range 3 {
		mixed.Set(k, k, mixed.At(k, k)-1)
	}
	return &mixed
}
