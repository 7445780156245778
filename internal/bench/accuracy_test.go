package bench

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/blend/plan"
	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/imageio/sample"
	"huewright/internal/figure"
)

// A study is one photo taken through the whole chain.
type study struct {
	opt        CabinetOptions
	shot       *Shot
	photo      *imageio.Photo
	patches    []camera.Sample
	report     camera.Report
	correction *camera.Correction
}

// study photographs the case of a seed and fits the camera to the chart in the picture.
func newStudy(t *testing.T, seed uint64, camera Camera) *study {
	t.Helper()
	rng := rand.New(rand.NewPCG(seed, 0x71e3))
	s := &study{opt: DrawCabinet(seed)}
	hand := View{
		Width: 1280, Height: 960, SamplesPerSide: 1,
		TiltX: 0.03 * rng.NormFloat64(), TiltY: 0.03 * rng.NormFloat64(), RollDegrees: 0.5 * rng.NormFloat64(),
	}
	s.shot = Cabinet(s.opt).Shoot(hand, camera)
	var err error
	s.photo, err = imageio.Decode(t.Context(), s.shot.JPEG, "cabinet.jpg")
	require.NoError(t, err)
	var seen *chart.Chart
	s.correction, s.report, seen, err = chart.Fit(t.Context(), s.photo, s.shot.Corners, chart.Options{})
	require.NoError(t, err)
	s.patches = seen.Samples
	return s
}

func (s *study) read(t *testing.T, name string) colour.Reading {
	t.Helper()
	r, err := sample.Read(t.Context(), s.photo, s.shot.Area(name).Outline, s.correction, sample.Options{Name: name})
	require.NoError(t, err)
	return r
}

func (s *study) measured(t *testing.T, name string) learn.Measured {
	r := s.read(t, name)
	return learn.Measured{Lab: r.Mean, PlusMinus: r.PlusMinus, Photo: "cabinet.jpg"}
}

// seeds is how many cameras are drawn.
var seeds = figure.Draws(8, 20)

var phones []*study // of all seeds, once for all tests

func phoneStudies(t *testing.T) []*study {
	t.Helper()
	for len(phones) < seeds {
		seed := uint64(len(phones))
		phones = append(phones, newStudy(t, seed, DrawCamera(seed, Phone)))
	}
	return phones
}

var studied = []string{Frame, Panel, Corner, FrameBare, FrameTested, PanelBare, PanelTested, Chip, Target, SecondBoard}

// The bar: over 20 photos by phone-like cameras, areas read within 2.0 ΔE00 of the truth on
// average. Beside it stand what the file says without any correction, and a plain 3×3 matrix.
func TestAreasAreReadTruly(t *testing.T) {
	requireTrueAreas(t, "phone", phoneStudies(t))
}

// What less eager software would give, to see where the error comes from.
func TestAreasByMilderCameras(t *testing.T) {
	for name, r := range map[string]Rendering{"plain": Plain, "mild": Mild} {
		var studies []*study
		for seed := range uint64(figure.Draws(2, 6)) {
			studies = append(studies, newStudy(t, seed, DrawCamera(seed, r)))
		}
		requireTrueAreas(t, name, studies)
	}
}

func requireTrueAreas(t *testing.T, camera string, studies []*study) {
	var ours, matrix, none, loo, covered, count, worst float64
	byArea := map[string]float64{}
	for _, s := range studies {
		loo += s.report.LOOMean / float64(len(studies))
		toXYZ := fitMatrix(s.patches, -1)
		for _, name := range studied {
			truth, reading := s.shot.Area(name).Lab, s.read(t, name)
			light := meanLight(s.photo, s.shot.Area(name).Outline)
			d := colour.DeltaE2000(truth, reading.Mean)
			ours += d
			byArea[name] += d / float64(len(studies))
			matrix += colour.DeltaE2000(truth, toXYZ(light).Lab())
			none += colour.DeltaE2000(truth, light.Lab())
			worst = max(worst, d)
			count++
			if d <= reading.PlusMinus {
				covered++
			}
		}
	}
	t.Logf("%s: areas %.2f off on average, worst %.1f, %.0f %% inside their ±; by 3×3 %.2f; at the file's word %.2f; "+
		"left out one by one on the chart %.2f",
		camera, ours/count, worst, 100*covered/count, matrix/count, none/count, loo)
	for _, name := range studied {
		t.Logf("    %-20s %.2f", name, byArea[name])
	}
	figure.Report(t, "areas/"+camera, "%.2f", ours/count)
	figure.Report(t, "areas/"+camera+", by 3×3", "%.2f", matrix/count)
	require.LessOrEqual(t, ours/count, 2.0)
}

// The bar: learning the wash from its dried paint and one coat on each wood, all read from the
// one photo, the number of coats to a board is the true one in 75 of 100 cases or more, and
// within one of it in 95 or more.
func TestCoatCountsAreTrue(t *testing.T) {
	const most = 12
	exact, near, counted := map[string]float64{}, map[string]float64{}, float64(2*seeds)
	const ours, ideal, matrix, word = "as the program reads the photo", "from the true colours", "by a 3×3 matrix", "at the file's word"
	for seed, s := range phoneStudies(t) {
		toXYZ := fitMatrix(s.patches, -1)
		light := func(name string) colour.LinearRGB { return meanLight(s.photo, s.shot.Area(name).Outline) }
		ways := map[string]func(area string) learn.Measured{
			ours:   func(name string) learn.Measured { return s.measured(t, name) },
			ideal:  func(name string) learn.Measured { return learn.Measured{Lab: s.shot.Area(name).Lab} },
			matrix: func(name string) learn.Measured { return learn.Measured{Lab: toXYZ(light(name)).Lab()} },
			word:   func(name string) learn.Measured { return learn.Measured{Lab: light(name).Lab()} },
		}
		for way, measured := range ways {
			asks := [][2]string{{Frame, Target}, {Panel, SecondBoard}}
			var colours [][2]learn.Measured
			for _, ask := range asks {
				colours = append(colours, [2]learn.Measured{measured(ask[0]), measured(ask[1])})
			}
			counts := planned(t, s.opt.Wash.Name, evidence(measured), nil, colours)
			for i, ask := range asks {
				want, left := s.shot.Area(ask[0]).BestCount(s.opt.Wash, s.shot.Area(ask[1]).Lab, most)
				got := counts[i].Count
				exact[way] += within(got, want, 0) / counted
				near[way] += within(got, want, 1) / counted
				if way == ours && got != want {
					t.Logf("seed %2d, %s on the %s: %d coats are best, %.1f from the board; the program says %d",
						seed, s.opt.Wash.Name, ask[0], want, left, got)
				}
			}
		}
	}
	for _, way := range []string{ours, ideal, matrix, word} {
		t.Logf("%-31s %3.0f %% exact, %3.0f %% within one", way, 100*exact[way], 100*near[way])
		figure.Report(t, "coat counts/"+way, "%.0f / %.0f %%", 100*exact[way], 100*near[way])
	}
	figure.AtLeast(t, 0.75-1e-9, exact[ours], counted)
	figure.AtLeast(t, 0.95-1e-9, near[ours], counted)
}

func within(a, b, by int) float64 {
	if a-b <= by && b-a <= by {
		return 1
	}
	return 0
}

// evidence is the dried paint and one coat on each wood.
func evidence(measured func(area string) learn.Measured) learn.Evidence {
	chip := measured(Chip)
	return learn.Evidence{Chip: &chip, Tests: []learn.TestCoat{
		{Ground: measured(FrameBare), Result: measured(FrameTested), Coats: 1, Even: true},
		{Ground: measured(PanelBare), Result: measured(PanelTested), Coats: 1, Even: true},
	}}
}

// planned counts coats as the program does, for areas from one colour to another each.
func planned(
	t *testing.T, name string, e learn.Evidence, shared func(a, b learn.Measured) [3][3]float64, areas [][2]learn.Measured,
) []plan.CoatCount {
	t.Helper()
	return plannedOn(t, blend.Sealed, name, e, shared, areas)
}

// plannedOn is planned for woods of a surface.
func plannedOn(t *testing.T, surface blend.Surface, name string, e learn.Evidence, shared func(a, b learn.Measured) [3][3]float64,
	areas [][2]learn.Measured) (counts []plan.CoatCount) {
	t.Helper()
	s := learn.Dataset{Shelf: []learn.ShelfCoating{{Name: name, Kind: "wash", Evidence: e}}, Shared: shared}
	ask := plan.Problem{Options: plan.Options{Price: 0.02}} // the nearest counts, whatever a coat costs
	for i, a := range areas {
		s.Colours = append(s.Colours, a[0], a[1])
		ask.Areas = append(ask.Areas, plan.Area{
			Name: fmt.Sprint("area ", i), Surface: surface, Mean: 2 * i, Light: plan.None, Dark: plan.None, Target: 2*i + 1})
	}
	w, err := s.Draw(t.Context(), learn.Options{})
	require.NoError(t, err)
	plan, err := plan.Make(t.Context(), w, ask)
	require.NoError(t, err)
	for _, single := range plan.Single {
		counts = append(counts, single[0].CoatCount)
	}
	return counts
}

// Virtual cameras are about as bad as real ones. On the 11 photos by phones among the shared
// data, read with the same corners and the same 3×3 fit, the error left out one by one is
// 4.06–5.33, mean 4.40, and the slopes of the tone curve, as log over log between greys, are
// 0.55–0.81 from white to light grey, 0.76–1.14 to middle grey and 1.18–1.43 to black. Our own
// fit, left out one by one, is 2.70 off on all of their patches and 1.78 on those near wood.
func TestCamerasAreLikePhones(t *testing.T) {
	var errors, ours, nearWood float64
	var slopes [3]float64
	drawn := float64(seeds)
	for _, s := range phoneStudies(t) {
		for i, p := range s.patches {
			errors += colour.DeltaE2000(p.Want, fitMatrix(s.patches, i)(p.Camera).Lab()) / (drawn * float64(len(s.patches)))
		}
		ours, nearWood = ours+s.report.LOOMean/drawn, nearWood+s.report.LOONearWood/drawn
		greys := s.patches[18:]
		for i, ends := range [][2]int{{0, 1}, {1, 3}, {3, 5}} {
			a, b := greys[ends[0]], greys[ends[1]]
			slopes[i] += math.Log(a.Camera.G/b.Camera.G) / math.Log(a.Want.XYZ().Y/b.Want.XYZ().Y) / drawn
		}
	}
	t.Logf("left out one by one: 3×3 %.2f, ours %.2f, near wood %.2f; slopes from white to black %.2f", errors, ours, nearWood, slopes)
	require.InDelta(t, 4.40, errors, 0.6)
	require.InDelta(t, 2.70, ours, 0.6)
	require.InDelta(t, 1.78, nearWood, 0.6)
	require.True(t, slopes[0] > 0.5 && slopes[0] < 0.9)
	require.True(t, slopes[1] > 0.75 && slopes[1] < 1.25)
	require.True(t, slopes[2] > 1.05 && slopes[2] < 1.45)
}
