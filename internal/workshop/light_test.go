package workshop_test

import (
	"fmt"
	"math"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/internal/bench"
	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/words"
	"huewright/internal/workshop"
)

// lit is a photo in light that loses a fifth from side to side, with slips round the piece, and
// one of a blank sheet.
type lit struct {
	shot  *bench.Shot
	files inMemory
}

var unevenly = sync.OnceValue(func() lit {
	opt := bench.DrawCabinet(3)
	opt.Slips = 3
	camera := bench.DrawCamera(3, bench.Mild)
	camera.Gradient, camera.Towards, camera.Exposure = 0.20, 0, 0.8
	view := bench.View{Width: 1000, Height: 750, SamplesPerSide: 1}
	shot := bench.Cabinet(opt).Shoot(view, camera)
	sheet := bench.BlankSheet().Shoot(view, camera)
	return lit{shot, inMemory{"front.jpg": string(shot.JPEG), "sheet.jpg": string(sheet.JPEG)}}
})

func (l lit) ask() workshop.MeasureRequest {
	corners := l.shot.Corners
	return workshop.MeasureRequest{
		Photo: "front.jpg", Reference: piece.Reference{Corners: &corners},
		Areas: []workshop.AreaOutline{
			{Name: bench.Panel, Outline: l.shot.Area(bench.Panel).Outline},
			{Name: bench.Target, Outline: l.shot.Area(bench.Target).Outline},
		},
	}
}

func (l lit) neutrals(n int) (marked []piece.Neutral) {
	for i := range n {
		marked = append(marked, piece.Neutral{Outline: l.shot.Area(bench.SlipName(i + 1)).Outline})
	}
	return marked
}

// worst is how far the farthest of the areas is from the truth.
func (l lit) worst(t *testing.T, req workshop.MeasureRequest) (float64, *workshop.MeasureResult) {
	t.Helper()
	result, err := workshop.Measure(t.Context(), l.files, req)
	require.NoError(t, err)
	off := 0.0
	for _, a := range result.Areas {
		d := colour.DeltaE2000(l.shot.Area(a.Name).Lab, a.Reading.Mean)
		if result.Calibration.Light != nil { // without, the ± knows nothing of the light
			require.LessOrEqual(t, d, a.Reading.PlusMinus, a.Name)
		}
		off = max(off, d)
	}
	return off, result
}

func TestUnevenLightIsEvened(t *testing.T) {
	l := unevenly()
	byChart, plain := l.worst(t, l.ask())
	require.Nil(t, plain.Calibration.Light)

	req := l.ask()
	req.Reference.Neutrals = l.neutrals(4)
	bySlips, result := l.worst(t, req)
	light := result.Calibration.Light
	require.Equal(t, "neutrals", light.By)
	require.Len(t, light.Neutrals, 4)
	require.InDelta(t, 0.16, light.Found, 0.05) // of the fifth from side to side, what the chart and the slips span
	require.Less(t, light.Left, 0.05)
	require.Less(t, bySlips, byChart/2)

	req = l.ask()
	req.Reference.Flat = "sheet.jpg"
	byFlat, result := l.worst(t, req)
	require.Equal(t, "flat", result.Calibration.Light.By)
	require.InDelta(t, 0.21, result.Calibration.Light.Found, 0.06)
	require.Less(t, byFlat, byChart/2)
	t.Logf("worst area: by the chart alone %.2f, four slips %.2f, a blank sheet %.2f", byChart, bySlips, byFlat)
}

func TestOneSlipTellsTooLittle(t *testing.T) {
	l := unevenly()
	req := l.ask()
	req.Reference.Neutrals = l.neutrals(1)
	result, err := workshop.Measure(t.Context(), l.files, req)
	require.NoError(t, err)
	require.Contains(t, fmt.Sprint(result.Calibration.Warnings), "reading.uneven-light-few-slips")
	require.True(t, math.IsNaN(result.Calibration.Light.Neutrals[0].LeftOut))
}

// Slips alone correct light and exposure, and even the light among themselves.
func TestMeasureBySlipsAlone(t *testing.T) {
	l := unevenly()
	req := l.ask()
	req.Reference = piece.Reference{Kind: "neutral", Neutrals: l.neutrals(4)}
	_, result := l.worst(t, req)
	require.Equal(t, "neutral", result.Calibration.Reference)
	require.False(t, result.Calibration.Relative)
	require.Equal(t, "neutrals", result.Calibration.Light.By)
	require.Empty(t, result.Calibration.Report.LOOMean)
}

// Wood marked as a slip is no paper, and is refused.
func TestASlipThatIsNone(t *testing.T) {
	l := unevenly()
	req := l.ask()
	req.Reference.Neutrals = append(l.neutrals(4), piece.Neutral{Outline: l.shot.Area(bench.Frame).Outline})
	_, err := workshop.Measure(t.Context(), l.files, req)
	f := fault.Of(err)
	require.NotNil(t, f, "%v", err)
	require.Equal(t, fault.Code("neutral.unusable"), f.Code)
	require.Equal(t, 5, f.Values["number"])
	require.Equal(t, fault.Code("area.not-grey"), f.Values["why"].(fault.Note).Code)
}

func TestDifferencesAcrossTheLightAreLessSure(t *testing.T) {
	l := unevenly()
	req := workshop.CompareRequest{MeasureRequest: l.ask(), Target: bench.Target}
	plain, err := workshop.Compare(t.Context(), l.files, req)
	require.NoError(t, err)
	req.Reference.Neutrals = l.neutrals(2)
	two, err := workshop.Compare(t.Context(), l.files, req)
	require.NoError(t, err)
	require.Greater(t, two.Differences[0].PlusMinus, plain.Differences[0].PlusMinus)
}

// The board has a known size, both at the scale of the wall.
func TestSizesOfAreas(t *testing.T) {
	l := unevenly()
	req := l.ask()
	req.Reference.ChartWidth = bench.ChartWidth
	result, err := workshop.Measure(t.Context(), l.files, req)
	require.NoError(t, err)
	const board = (136.0 - 44) * (292 - 66) / 1e6
	require.InEpsilon(t, board, result.Areas[1].SquareMetres, 0.03)

	req = l.ask()
	req.Reference.Length = &piece.Length{From: imageio.Point{X: 0, Y: 10}, To: imageio.Point{X: 1000, Y: 10}, MM: 1160}
	result, err = workshop.Measure(t.Context(), l.files, req)
	require.NoError(t, err)
	require.InEpsilon(t, board, result.Areas[1].SquareMetres, 0.03)
}

func measuredChart(change ...string) string {
	var b strings.Builder
	b.WriteString("# measured on a Tuesday\nwhite,D65\n")
	for i, p := range camera.Chart24(camera.Since2014) {
		name := p.Name
		if i%2 == 0 {
			name = fmt.Sprint(i + 1)
		}
		fmt.Fprintf(&b, "%s, %.4f, %.4f, %.4f\n", name, p.Lab.L, p.Lab.A, p.Lab.B)
	}
	return strings.NewReplacer(change...).Replace(b.String())
}

func TestMeasuredChartValues(t *testing.T) {
	l := unevenly()
	files := inMemory{"front.jpg": l.files["front.jpg"], "chart.csv": measuredChart()}
	req := l.ask()
	published, err := workshop.Measure(t.Context(), files, req)
	require.NoError(t, err)
	req.Reference.ChartValues = "chart.csv"
	own, err := workshop.Measure(t.Context(), files, req)
	require.NoError(t, err)
	for i := range own.Areas {
		require.Less(t, colour.DeltaE2000(published.Areas[i].Reading.Mean, own.Areas[i].Reading.Mean), 0.01)
	}

	for says, text := range map[string]string{
		"values.no-white chart.csv:2:1": measuredChart("white,D65\n", "white,F11\n"),
		"values.fields chart.csv:3:1":   measuredChart("\n1, ", "\n"),
		"values.no-patch chart.csv:5:1": measuredChart("\n3,", "\n25,"),
		"values.twice chart.csv:6:1":    measuredChart("leaf green", "light skin"),
		"values.not-a-number chart.csv:4:1": measuredChart("light skin, ", "light skin, NaNa, ",
			fmt.Sprintf(", %.4f\n3,", camera.Chart24(camera.Since2014)[1].Lab.B), "\n3,"),
		"values.patch-missing chart.csv": measuredChart("\n1, ", "\n# "),
		"values.empty chart.csv":         "",
	} {
		files["chart.csv"] = text
		_, err := workshop.Measure(t.Context(), files, req)
		require.ErrorContains(t, err, says)
		_, hint := words.Speaker{}.Fault(err)
		require.NotEmpty(t, hint)
	}
	req.Reference.ChartValues = "none.csv"
	_, err = workshop.Measure(t.Context(), files, req)
	require.True(t, fault.Is(err, "file.not-there"), "%v", err)
}

func TestLightFaults(t *testing.T) {
	l := unevenly()
	chart := l.ask().Reference
	with := func(change func(*piece.Reference)) piece.Reference {
		ref := chart
		change(&ref)
		return ref
	}
	for says, ref := range map[string]piece.Reference{
		"piece.no-slip": {Kind: "neutral"},
		"piece.slip-lightness high=100 low=5 value=300": with(func(r *piece.Reference) { r.NeutralLightness = 300 }),
		"piece.slip-lightness high=100 low=5 value=-4":  with(func(r *piece.Reference) { r.Neutrals = []piece.Neutral{{Lightness: -4}} }),
		"piece.values-without-chart":                    {Kind: "none", ChartValues: "chart.csv"},
		"piece.chart-width":                             with(func(r *piece.Reference) { r.ChartWidth = -3 }),
		"piece.width-without-chart":                     {Kind: "none", ChartWidth: 240},
		"piece.length-mm":                               {Length: &piece.Length{To: imageio.Point{X: 100}}},
		"piece.length-short":                            {Length: &piece.Length{MM: 100}},
		"sheet2.jpg":                                    with(func(r *piece.Reference) { r.Flat = "sheet2.jpg" }),
		"blank.not-blank":                               with(func(r *piece.Reference) { r.Flat = "front.jpg" }),
	} {
		req := l.ask()
		req.Reference = ref
		_, err := workshop.Measure(t.Context(), l.files, req)
		require.ErrorContains(t, err, says)
		_, hint := words.Speaker{}.Fault(err)
		require.NotEmpty(t, hint, "%v", err)
	}
	for _, s := range []string{"", "1,2,3", "x: 1,2,3,4", "200: 1,2,30,40", "50:", "nan: 1,2,30,40"} {
		_, err := piece.ParseNeutral(s)
		require.Error(t, err, s)
	}
	n, err := piece.ParseNeutral("50: 1,2,30,40")
	require.NoError(t, err)
	require.InDelta(t, 50, n.Lightness, 0)
	for _, s := range []string{"", "1,2 3,4", "1,2=5", "1,2 3,4=x", "1,2 3;4=100", "1,2 300,4=-1", "1,2 300,4=nan"} {
		_, err := piece.ParseLength(s)
		require.Error(t, err, s)
	}
}
