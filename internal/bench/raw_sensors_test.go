package bench

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	gonum "gonum.org/v1/gonum/stat"

	"huewright/colour"
	"huewright/colour/camera"
	sensors "huewright/colour/sensor"
	"huewright/colour/spectra"
	"huewright/internal/figure"
	"huewright/internal/fixture"
	"huewright/internal/stat"
)

// trainingPatches are the reflectances by which the bench's maker works out his matrices: 190 patches that others use for that end.
func trainingPatches(t *testing.T) (patches []spectra.Spectrum) {
	t.Helper()
	raw, err := os.ReadFile(fixture.NeedShared(t, "spectra/cameras/training_spectral.json")[0])
	require.NoError(t, err)
	var file struct {
		SpectralData struct {
			Data struct{ Main map[string][]float64 }
		} `json:"spectral_data"`
	}
	require.NoError(t, json.Unmarshal(raw, &file))
	for i := range file.SpectralData.Data.Main["400"] {
		c := column{}
		for nm, values := range file.SpectralData.Data.Main {
			at, err := strconv.Atoi(nm)
			require.NoError(t, err)
			c[at] = values[i]
		}
		var s spectra.Spectrum
		for band := range s {
			s[band] = c.band(band)
		}
		patches = append(patches, s)
	}
	require.Len(t, patches, 190)
	return patches
}

// records is what a sensor has of a reflectance in a light, in a unit of its own.
func (s *sensitivities) records(lamp *Lamp, r *spectra.Spectrum) (out rgb) {
	for band, v := range r {
		for k, w := range s[band] {
			out[k] += v * w * lamp.power[band]
		}
	}
	return out
}

// observer is the CIE 1931 standard observer by band, relative.
func observer(t *testing.T) (xyz sensitivities) {
	t.Helper()
	_, columns := columnsOf(t, "cie1931_2deg_xyz.csv")
	for band := range xyz {
		for k, heading := range []string{"x", "y", "z"} {
			require.NotNil(t, columns[heading], columns)
			xyz[band][k] = columns[heading].band(band)
		}
	}
	return xyz
}

// flatWhite reflects all light.
var flatWhite = func() (s spectra.Spectrum) {
	for i := range s {
		s[i] = 1
	}
	return s
}()

// seen is XYZ of a reflectance in a light, white Y = 1.
func (s *sensitivities) seen(lamp *Lamp, r *spectra.Spectrum) colour.XYZ {
	c, white := s.records(lamp, r), s.records(lamp, &flatWhite)
	return colour.XYZ{X: c[0] / white[1], Y: c[1] / white[1], Z: c[2] / white[1]}
}

// makersProfile is what a maker would say of a sensor: for each light the matrix from XYZ there to the sensor, and, where asked, that
// from the balanced sensor to XYZ under D50, by least squares over patches, with white kept.
func makersProfile(s, eye *sensitivities, lights []Lamp, kelvin []float64, patches []spectra.Spectrum, forward bool) (p sensors.Profile) {
	d50 := Daylight(5003)
	for i := range lights {
		l := &lights[i]
		white := s.records(l, &flatWhite)
		var xyz, cam, balanced, under50 [][3]float64
		add := func(r *spectra.Spectrum, weight float64) {
			c, v := s.records(l, r), eye.seen(l, r)
			v50 := colour.Adaptation(eye.seen(&d50, &flatWhite), colour.WhiteD50).Apply(eye.seen(&d50, r))
			xyz = append(xyz, [3]float64{weight * v.X, weight * v.Y, weight * v.Z})
			cam = append(cam, [3]float64{weight * c[0] / white[1], weight * c[1] / white[1], weight * c[2] / white[1]})
			balanced = append(balanced, [3]float64{weight * c[0] / white[0], weight * c[1] / white[1], weight * c[2] / white[2]})
			under50 = append(under50, [3]float64{weight * v50.X, weight * v50.Y, weight * v50.Z})
		}
		for k := range patches {
			add(&patches[k], 1)
		}
		add(&flatWhite, 100)
		p.Calibrations[i] = sensors.Calibration{Kelvin: kelvin[i], Matrix: solveMatrix(xyz, cam)}
		if forward {
			p.Calibrations[i].Forward = solveMatrix(balanced, under50)
		}
	}
	return p
}

// woodSpectra are the bench's woods, bare and under washes.
func woodSpectra() (all []spectra.Spectrum) {
	for k, sp := range []species{ash, sapele} {
		pal := sp.palette(1, 1)
		for _, level := range []int{levels / 8, levels / 3, levels / 2, levels * 3 / 4} {
			ground := pal[level]
			all = append(all, ground)
			for seed := range uint64(5) {
				w := Making{}.NewWash(100*uint64(k)+seed, recipes[int(seed+uint64(level))%len(recipes)].name, 6)
				for _, coats := range []float64{1, 3} {
					all = append(all, w.Over(&ground, coats))
				}
			}
		}
	}
	return all
}

// learnTendency fits what is left of a tendency over sensors, lights and patches near wood.
func learnTendency(all []*sensitivities, lamps []Lamp, patches []spectra.Spectrum, profiles [][2]sensors.Profile) (k [3][2]float64) {
	var a [3][][]float64
	var b [3][]float64
	white := colour.WhiteD65
	for _, lamp := range lamps {
		for i, s := range all {
			for _, p := range profiles[i] {
				neutral := s.records(&lamp, &flatWhite)
				m := p.ToXYZ(sensors.Neutral(neutral))
				for n := range patches {
					want := patches[n].Lab()
					if !camera.NearWood(want) {
						continue
					}
					c := s.records(&lamp, &patches[n])
					got := m.Apply(colour.XYZ{X: c[0], Y: c[1], Z: c[2]})
					w := want.XYZ()
					g := [3]float64{got.X / white.X, got.Y / white.Y, got.Z / white.Z}
					v := [3]float64{w.X / white.X, w.Y / white.Y, w.Z / white.Z}
					for row := range 3 {
						weight := math.Pow(v[row], -2.0/3)
						a[row] = append(a[row], []float64{weight * (g[0] - g[1]), weight * (g[2] - g[1])})
						b[row] = append(b[row], weight*(v[row]-g[row]))
					}
				}
			}
		}
	}
	for row := range 3 {
		var aa [2][2]float64
		var ab [2]float64
		for i, x := range a[row] {
			for p := range 2 {
				ab[p] += x[p] * b[row][i]
				for q := range 2 {
					aa[p][q] += x[p] * x[q]
				}
			}
		}
		det := aa[0][0]*aa[1][1] - aa[0][1]*aa[1][0]
		k[row] = [2]float64{(ab[0]*aa[1][1] - ab[1]*aa[0][1]) / det, (aa[0][0]*ab[1] - aa[1][0]*ab[0]) / det}
	}
	return k
}

// makers are what the makers of sensors say of them in lamplight and daylight: with matrices to D50 and without.
func makers(t *testing.T, all []*sensitivities) (profiles [][2]sensors.Profile) {
	t.Helper()
	eye, patches := observer(t), trainingPatches(t)
	lights, kelvin := []Lamp{measuredLamps(t, "filament")[0], Daylight(6504)}, []float64{2850, 6500}
	for _, s := range all {
		profiles = append(profiles, [2]sensors.Profile{
			makersProfile(s, &eye, lights, kelvin, patches, true), makersProfile(s, &eye, lights, kelvin, patches, false),
		})
	}
	return profiles
}

// warmLamps are the published lights below 3300 K that are no tubes.
func warmLamps(t *testing.T) (warm []Lamp) {
	t.Helper()
	eye := observer(t)
	for _, kind := range []string{"filament", "white LED lamps"} {
		for _, l := range measuredLamps(t, kind) {
			w := eye.seen(&l, &flatWhite)
			if sensors.Kelvin(w.X/(w.X+w.Y+w.Z), w.Y/(w.X+w.Y+w.Z)) < 3300 {
				warm = append(warm, l)
			}
		}
	}
	return warm
}

// TestTendencies learns again what colours like wood are off by under makers' matrices, from sensors that give no figures and from patches
// that are none of the bench's woods. What colour/sensor holds of it is to leave nothing over.
func TestTendencies(t *testing.T) {
	_, tuning := measuredCameras(t)
	patches, profiles := trainingPatches(t), makers(t, tuning)
	for name, lamps := range map[string][]Lamp{
		"7500 K": {Daylight(7500)}, "5000 K": {Daylight(5000)}, "warm lamps": warmLamps(t),
	} {
		for row, left := range learnTendency(tuning, lamps, patches, profiles) {
			require.InDelta(t, 0, left[0], 0.01, "%s, row %d, to be added: %.3f", name, row, left)
			require.InDelta(t, 0, left[1], 0.01, "%s, row %d, to be added: %.3f", name, row, left)
		}
	}
}

// A rawView is a scene's surfaces as a sensor has them, with stray light, developed by the file's matrices for the white that a slip
// shows.
type rawView struct {
	s      *sensitivities
	lamp   *Lamp
	stray  rgb
	m      colour.Matrix
	light  sensors.Light
	kelvin float64
}

// newRawView takes a scene whose mean reflectance is a third of a white's, stray light a share of it.
func newRawView(s *sensitivities, p *sensors.Profile, lamp *Lamp, flare float64, slip *spectra.Spectrum, is colour.Lab) *rawView {
	v := &rawView{s: s, lamp: lamp}
	for k, c := range s.records(lamp, &flatWhite) {
		v.stray[k] = flare * 0.33 * c
	}
	c := v.record(slip)
	v.m = p.ToXYZ(sensors.Neutral(c))
	got := v.m.Apply(colour.XYZ{X: c[0], Y: c[1], Z: c[2]})
	scale := is.XYZ().Y / got.Y
	for i := range v.m {
		for k := range v.m {
			v.m[i][k] *= scale
		}
	}
	x, y := p.White(sensors.Neutral(c))
	v.light, v.kelvin = sensors.LightOf(x, y), sensors.Kelvin(x, y)
	return v
}

func (v *rawView) record(r *spectra.Spectrum) (c rgb) {
	c = v.s.records(v.lamp, r)
	for k := range c {
		c[k] += v.stray[k]
	}
	return c
}

func (v *rawView) linear(r *spectra.Spectrum) colour.LinearRGB {
	c := v.record(r)
	return v.m.Apply(colour.XYZ{X: c[0], Y: c[1], Z: c[2]}).LinearRGB()
}

// paperOf is a sheet of paper sold as white: lighter or darker than is taken for it, and a little yellow or blue.
func paperOf(rng *rand.Rand) spectra.Spectrum {
	return spectra.PriorSpectrum(colour.Lab{L: 94 + rng.NormFloat64(), A: 0.5 * rng.NormFloat64(), B: 1.5 * rng.NormFloat64()})
}

// A rawCase is what a raw photo shows of known colour.
type rawCase struct {
	name    string
	samples func(v *rawView, slip *spectra.Spectrum, is colour.Lab) []camera.Sample
	slip    func(rng *rand.Rand) (spectra.Spectrum, colour.Lab)
}

func rawCases(t *testing.T) []rawCase {
	chart := measuredChart(t)
	bySlip := func(v *rawView, slip *spectra.Spectrum, is colour.Lab) []camera.Sample {
		return []camera.Sample{{Name: "slip", Camera: v.linear(slip), Want: is}}
	}
	byChart := func(v *rawView, _ *spectra.Spectrum, _ colour.Lab) (samples []camera.Sample) {
		for i := range chart {
			samples = append(samples, camera.Sample{
				Name: fmt.Sprint("patch ", i+1), Want: chart[i].Lab(), Camera: v.linear(&chart[i]),
				At: camera.Position{X: (float64(i%6)+0.5)/6 - 0.5, Y: (float64(i/6)+0.5)/4 - 0.5},
			})
		}
		return samples
	}
	grey := func(*rand.Rand) (spectra.Spectrum, colour.Lab) { return chart[21], colour.Lab{L: chart[21].Lab().L} }
	paper := func(rng *rand.Rand) (spectra.Spectrum, colour.Lab) { return paperOf(rng), colour.Lab{L: 94} }
	return []rawCase{{"grey card", bySlip, grey}, {"slip", bySlip, paper}, {"chart", byChart, grey}}
}

// TestRawSensors measures woods, bare and washed, from raw photos by measured sensors that nothing was tuned to, in published lights,
// with stray light and without noise, by one slip of paper, a grey card and the chart.
func TestRawSensors(t *testing.T) {
	forFigures, _ := measuredCameras(t)
	profiles, woods := makers(t, forFigures), woodSpectra()
	var daylights []Lamp
	for kelvin := 5000.0; kelvin <= 7500; kelvin += 500 {
		daylights = append(daylights, Daylight(kelvin))
	}
	for _, kind := range []struct {
		name  string
		lamps []Lamp
		most  map[string][2]float64 // mean and 95 of 100
	}{
		{"daylight", daylights, map[string][2]float64{"slip": {1.3, 2.5}, "grey card": {1.3, 2.5}, "chart": {1, 2}}},
		{"warm lamps", warmLamps(t), map[string][2]float64{"slip": {2.2, 4.5}, "grey card": {2.2, 4.5}, "chart": {1, 2.5}}},
		{"filament", measuredLamps(t, "filament"), nil},
		{"fluorescent tubes", measuredLamps(t, "fluorescent tubes"), nil},
	} {
		for _, of := range rawCases(t) {
			var all spread
			for i, s := range forFigures {
				for n, lamp := range kind.lamps {
					rng := rand.New(rand.NewPCG(uint64(i), uint64(n)))
					slip, is := of.slip(rng)
					v := newRawView(s, &profiles[i][min(i%3, 1)], &lamp, 0.002+0.008*rng.Float64(), &slip, is)
					c, _, err := camera.FitAs(v.light, of.samples(v, &slip, is))
					require.NoError(t, err)
					for k := range woods {
						got := c.Lab(v.linear(&woods[k]))
						all.add(colour.DeltaE2000(woods[k].Lab(), got), c.PlusMinus(got))
					}
				}
			}
			figure.Report(t, "raw sensors/"+kind.name+"/"+of.name, "%v", &all)
			if most, bound := kind.most[of.name]; bound {
				require.LessOrEqual(t, all.mean(), most[0], "%s, %s: %v", kind.name, of.name, &all)
				require.LessOrEqual(t, stat.Quantile(all.off, 0.95), most[1], "%s, %s: %v", kind.name, of.name, &all)
			}
			require.GreaterOrEqual(t, all.share(), 0.9, "%s, %s: %v", kind.name, of.name, &all)
		}
	}
}

// A spread is how far colours were off, and how often their stated radius held.
type spread struct {
	off          []float64
	held, radius float64
}

func (s *spread) add(off, radius float64) {
	s.off, s.radius = append(s.off, off), s.radius+radius
	if off <= radius {
		s.held++
	}
}

func (s *spread) mean() float64 { return gonum.Mean(s.off, nil) }

func (s *spread) share() float64 { return s.held / float64(len(s.off)) }

func (s *spread) String() string {
	return fmt.Sprintf("%.2f, %.1f, %.0f %% (± %.1f)", s.mean(), stat.Quantile(s.off, 0.95), 100*s.share(), s.radius/float64(len(s.off)))
}
