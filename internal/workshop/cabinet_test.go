package workshop_test

import (
	"fmt"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/internal/bench"
	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// drawn is the demo's cabinet, whose truth is known. It takes a second to draw.
var drawn = sync.OnceValue(bench.HardPiece)

func photos() inMemory { return inMemory{"front.jpg": string(drawn().JPEG)} }

func outlineOf(name string) string { return drawn().Area(name).Outline.String() }

func chart() piece.Reference {
	corners := drawn().Corners
	return piece.Reference{Corners: &corners}
}

func ask(names ...string) workshop.MeasureRequest {
	req := workshop.MeasureRequest{Photo: "front.jpg", Reference: chart()}
	for _, name := range names {
		req.Areas = append(req.Areas, workshop.AreaOutline{Name: name, Outline: drawn().Area(name).Outline})
	}
	return req
}

func TestMeasureTheDrawnCabinet(t *testing.T) {
	result, err := workshop.Measure(t.Context(), photos(), ask(bench.Frame, bench.Panel))
	require.NoError(t, err)
	require.Equal(t, "chart", result.Calibration.Reference)
	require.False(t, result.Calibration.Relative)
	require.Len(t, result.Calibration.Report.Patches, 24)
	for _, area := range result.Areas {
		off := colour.DeltaE2000(drawn().Area(area.Name).Lab, area.Reading.Mean)
		require.Less(t, off, 3.0)
		require.Less(t, off, area.Reading.PlusMinus)
	}
}

// White paper of known lightness does less than a chart, and more than nothing.
func TestMeasureByPaper(t *testing.T) {
	slip := drawn().Area(bench.Slip)
	req := ask(bench.Panel)
	req.Reference = piece.Reference{Grey: &slip.Outline, GreyLightness: slip.Lab.L}
	byPaper, err := workshop.Measure(t.Context(), photos(), req)
	require.NoError(t, err)
	require.Equal(t, "grey", byPaper.Calibration.Reference)
	req.Reference = piece.Reference{Kind: "none"}
	byNothing, err := workshop.Measure(t.Context(), photos(), req)
	require.NoError(t, err)
	require.True(t, byNothing.Calibration.Relative)
	require.Contains(t, fmt.Sprint(byNothing.Calibration.Warnings), "relative-only")
	require.Less(t, byPaper.Areas[0].Reading.PlusMinus, byNothing.Areas[0].Reading.PlusMinus)
}

func TestCompareWithinAPhotoIsSurerThanItsColours(t *testing.T) {
	req := workshop.CompareRequest{MeasureRequest: ask(bench.Frame, bench.FrameBare, bench.Panel), Target: bench.Frame}
	result, err := workshop.Compare(t.Context(), photos(), req)
	require.NoError(t, err)
	require.Zero(t, result.Differences[0].DeltaE2000)
	require.Less(t, result.Differences[1].PlusMinus, result.Areas[1].Reading.PlusMinus)
	true0, true2 := drawn().Area(bench.Frame).Lab, drawn().Area(bench.Panel).Lab
	require.InDelta(t, colour.DeltaE2000(true0, true2), result.Differences[2].DeltaE2000, result.Differences[2].PlusMinus)
	require.Contains(t, result.Differences[2].Words.String(), "colour.darker")
}

func TestCompareWithATypedColour(t *testing.T) {
	target := colour.Lab{L: 44.1, A: 14.2, B: 19.8}
	req := workshop.CompareRequest{MeasureRequest: ask(bench.Panel), TargetLab: &target}
	result, err := workshop.Compare(t.Context(), photos(), req)
	require.NoError(t, err)
	require.InDelta(t, colour.DeltaE2000(target, result.Areas[0].Reading.Mean), result.Differences[0].DeltaE2000, 1e-9)
	req = workshop.CompareRequest{MeasureRequest: ask(bench.Panel), Target: "lid"}
	_, err = workshop.Compare(t.Context(), photos(), req)
	require.True(t, fault.Is(err, "piece.no-area"), "%v", err)
}

// washTested is a wash in a piece file: its chip, and a test coat on each of the two woods, bare and coated.
const washTested = `[[coating]]
name = "wash"
kind = "wash"
chip = { outline = %q }
[[coating.test]]
coats = 1
ground = { outline = %q }
result = { outline = %q }
[[coating.test]]
coats = 1
ground = { outline = %q }
result = { outline = %q }
`

func cabinetFile(change ...string) string {
	corners := ""
	for _, c := range drawn().Corners {
		corners += fmt.Sprintf("%.1f,%.1f ", c.X, c.Y)
	}
	text := fmt.Sprintf(`name = "cabinet"
[[photo]]
name = "front"
file = "front.jpg"
corners = %q
[target]
outline = %q
[[area]]
name = "frame"
surface = "sealed"
outline = %q
[[area]]
name = "panel"
outline = %q
`+washTested, corners, outlineOf(bench.Target), outlineOf(bench.Frame), outlineOf(bench.Panel), outlineOf(bench.Chip),
		outlineOf(bench.FrameBare), outlineOf(bench.FrameTested), outlineOf(bench.PanelBare), outlineOf(bench.PanelTested))
	return strings.NewReplacer(change...).Replace(text)
}

func planCabinet(t *testing.T, change ...string) (*workshop.PlanResult, error) {
	t.Helper()
	files := photos()
	files["cabinet.toml"] = cabinetFile(change...)
	p, err := workshop.ReadPiece(files, "cabinet.toml")
	require.NoError(t, err)
	return workshop.Plan(t.Context(), files, workshop.PlanRequest{Piece: *p})
}

// closest makes coats so cheap that the plan lays those that come closest.
const closest = "price = 0.02\nname = \"cabinet\"\n"

func TestPlanTheDrawnCabinet(t *testing.T) {
	result, err := planCabinet(t, "name = \"cabinet\"\n", closest)
	require.NoError(t, err)
	require.Len(t, result.Areas, 2)
	for i, area := range result.Areas {
		require.InDelta(t, drawn().Answers[i].Coats, area.Planned(), 1)
		require.Less(t, area.Plan.After.Median, area.Plan.Before.Median)
		truth := drawn().Answers[i].Path
		for n, step := range area.Plan.Path {
			require.LessOrEqualf(t, colour.DeltaE2000(truth[n], step.Lab), step.PlusMinus, "%s after %d coats", area.Area.Name, n)
		}
	}
	require.Len(t, result.Photos, 1)
	require.False(t, result.Relative)
}

// Half as much paint in the mix takes about twice the coats.
func TestPlanWithAThinnerMixThanWasTested(t *testing.T) {
	asTested, err := planCabinet(t, "name = \"cabinet\"\n", closest, `kind = "wash"`,
		"kind = \"wash\"\ndilution = { paint = 1, water = 4 }", "coats = 1\n",
		"coats = 1\ndilution = { paint = 1, water = 4 }\n")
	require.NoError(t, err)
	thinner, err := planCabinet(t, "name = \"cabinet\"\n", closest, `kind = "wash"`,
		"kind = \"wash\"\ndilution = { paint = 1, water = 9 }", "coats = 1\n",
		"coats = 1\ndilution = { paint = 1, water = 4 }\n")
	require.NoError(t, err)
	require.InDelta(t, 2*asTested.Areas[0].Planned(), thinner.Areas[0].Planned(), 1)
}

func TestPlanWithoutAChartIsRelative(t *testing.T) {
	result, err := planCabinet(t, "name = \"cabinet\"\n", closest, "corners", "reference = \"none\"\n# corners")
	require.NoError(t, err)
	require.True(t, result.Relative)
	require.InDelta(t, drawn().Answers[0].Coats, result.Areas[0].Planned(), 1, "counts within one photo need no chart")
}

func TestPlanMindsTheStateOfTheSurface(t *testing.T) {
	result, err := planCabinet(t, "[target]\n", "[target]\nsurface = \"clear-coated\"\n")
	require.NoError(t, err)
	require.Contains(t, fmt.Sprint(result.Warnings), "reading.other-state")
}

func TestPlanFaults(t *testing.T) {
	_, err := planCabinet(t, `file = "front.jpg"`, `file = "back.jpg"`)
	require.Equal(t, fault.Photo, fault.KindOf(err))

	_, err = planCabinet(t, outlineOf(bench.Panel), "1500,1100,300,300")
	require.True(t, fault.Is(err, "outline.outside"))
	require.Equal(t, "panel", fault.Of(err).Place.Area)

	noTarget := "[target]\noutline = \"" + outlineOf(bench.Target) + "\""
	_, err = planCabinet(t, noTarget, "", "name = \"frame\"\n", "name = \"frame\"\ntarget = { hex = \"#6b4a35\" }\n")
	require.True(t, fault.Is(err, "piece.no-target"), "%v", err)
}

// Without any target the woods are brought to meet one another.
func TestPlanAMeeting(t *testing.T) {
	result, err := planCabinet(t, "[target]\noutline = \""+outlineOf(bench.Target)+"\"", "")
	require.NoError(t, err)
	chosen := result.Choices[0]
	require.Equal(t, []string{"frame", "panel"}, []string{chosen.Areas[0].Name, chosen.Areas[1].Name})
	require.Less(t, chosen.Worst.Median, chosen.Pairs[0].Before.Median)
	var laid [2]int
	for i, a := range chosen.Areas {
		for _, c := range a.Coats {
			laid[i] += c.Count
		}
	}
	require.Greater(t, laid[0], laid[1], "the pale wood gets more of a brown wash than the dark one")
}

// A clear coat to come darkens what is foreseen and what is aimed at, and is a caution where
// nothing tells how much.
func TestPlanUnderAClearCoat(t *testing.T) {
	dry, err := planCabinet(t)
	require.NoError(t, err)
	clear, err := planCabinet(t, "[target]\n", "[clear]\nname = \"water-borne clear\"\n[target]\n")
	require.NoError(t, err)
	require.True(t, clear.Finished)
	require.Less(t, clear.Areas[0].Plan.Path[0].Lab.L, dry.Areas[0].Plan.Path[0].Lab.L-3)
	require.Less(t, clear.Areas[0].Plan.Aim.L, dry.Areas[0].Plan.Aim.L-3)
	require.Contains(t, fmt.Sprint(clear.Warnings), "reading.clear-unknown")
}

func TestReferenceFaults(t *testing.T) {
	slip := drawn().Area(bench.Slip).Outline
	both := chart()
	both.Grey = &slip
	for code, ref := range map[fault.Code]piece.Reference{
		"piece.choice":         {Kind: "card"},
		"piece.no-grey-card":   {Kind: "grey"},
		"piece.chart-or-grey":  both,
		"piece.card-lightness": {Grey: &slip, GreyLightness: 300},
	} {
		req := ask(bench.Panel)
		req.Reference = ref
		_, err := workshop.Measure(t.Context(), photos(), req)
		require.True(t, fault.Is(err, code), "%v", err)
	}
}

// A coat on the piece, photographed, is told against what was foreseen of it, and the rest is planned
// from there. Here the truth of a coat is known from the drawn cabinet.
func TestPlanGoesOnAfterACoat(t *testing.T) {
	truth := drawn().Answers[0].Path
	laid := func(n int, c colour.Lab) string {
		return fmt.Sprintf("name = \"frame\"\nsurface = \"sealed\"\n[[area.laid]]\ncoating = \"wash\"\ncoats = %d\nafter = { "+
			"lab = [%.2f, %.2f, %.2f] }\n[[area]]\nname = \"rail\"\n", n, c.L, c.A, c.B)
	}
	before, err := planCabinet(t, "name = \"cabinet\"\n", closest)
	require.NoError(t, err)
	fresh := "name = \"frame\"\nsurface = \"sealed\"\n"
	outline := fmt.Sprintf("outline = %q\n", outlineOf(bench.Frame))
	as := func(n int, c colour.Lab) (*workshop.PlanResult, error) {
		text := strings.Replace(laid(n, c), "[[area.laid]]", outline+"[[area.laid]]", 1)
		return planCabinet(t, "name = \"cabinet\"\n", closest, fresh, text)
	}
	after, err := as(2, truth[2])
	require.NoError(t, err)
	frame := after.Areas[0]
	require.Len(t, frame.Laid, 1)
	require.False(t, frame.Laid[0].Prediction.Surprise(), "%.1f off, ± %.1f", frame.Laid[0].Prediction.DeltaE,
		frame.Laid[0].Prediction.PlusMinus)
	require.InDelta(t, before.Areas[0].Planned()-2, frame.Planned(), 1)
	require.InDelta(t, 0, colour.DeltaE76(truth[2], frame.Start.Lab), 0.02)

	odd, err := as(2, truth[0])
	require.NoError(t, err)
	require.True(t, odd.Areas[0].Laid[0].Prediction.Surprise())
	require.NotEmpty(t, odd.Areas[0].Laid[0].Causes)

	_, err = workshop.ReadPiece(inMemory{"cabinet.toml": cabinetFile(fresh,
		"name = \"frame\"\nsurface = \"sealed\"\n"+outline+"[[area.laid]]\ncoating = \"washh\"\ncoats = 1\nafter = { hex = "+
			"\"#888888\" }\n[[area]]\nname = \"x\"\n")}, "cabinet.toml")
	require.True(t, fault.Is(err, "piece.no-coating"), "%v", err)
}

// What to mix follows from the sizes; a label's spread comes before what is usual, and an area without
// a size is named.
func TestPlanSaysHowMuchToMix(t *testing.T) {
	result, err := planCabinet(t, "name = \"frame\"\n", "name = \"frame\"\nsize_m2 = 0.5\n", `kind = "wash"`,
		"kind = \"wash\"\nspread = 10\ndilution = { paint = 1, water = 3 }")
	require.NoError(t, err)
	require.Len(t, result.Batches, 1)
	batch := result.Batches[0]
	coats := 0
	for _, c := range result.Areas[0].Plan.Coats {
		coats += c.Count
	}
	require.Positive(t, coats)
	require.InDelta(t, 50*float64(coats), batch.Needed[1], 1e-9)
	require.True(t, batch.Spread.FromLabel)
	require.GreaterOrEqual(t, batch.Mix, batch.Needed[1]/0.85-1e-9)
	require.InDelta(t, batch.Mix/4, batch.Paint, 1e-9)
	require.Equal(t, []string{"panel"}, batch.UnsizedNames())
}
