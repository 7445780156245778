package workshop_test

import (
	"fmt"
	"math"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/internal/bench"
	"huewright/internal/workshop"
)

// twice is one cabinet in two photos by one camera, the second darker, warmer and flatter.
var twice = sync.OnceValue(func() (shots [2]*bench.Shot) {
	scene := bench.Cabinet(bench.CabinetOptions{Seed: 3, Wash: bench.NewWash(3, "nut brown", 14.5)})
	camera := bench.DrawCamera(3, bench.Mild)
	camera.Gradient = 0.02
	view := bench.View{Width: 960, Height: 720, SamplesPerSide: 1}
	shots[0] = scene.Shoot(view, camera)
	camera.Exposure *= 0.85
	camera.Balance[0] *= math.Exp(0.06)
	camera.Balance[2] *= math.Exp(-0.06)
	camera.Gamma *= 1.04
	camera.Seed++
	view.TiltX, view.RollDegrees = 0.02, 0.4
	shots[1] = scene.Shoot(view, camera)
	return shots
})

// across is a piece whose bare wood is in one photo and whose test coats, chip and target are
// in the other. extra goes under the photos, area under the frame.
func across(t *testing.T, extra, area string) *workshop.PlanResult {
	t.Helper()
	return acrossFiles(t, [2][]byte{twice()[0].JPEG, twice()[1].JPEG}, extra, area)
}

// acrossFiles is across, of other files of the same two views.
func acrossFiles(t *testing.T, photos [2][]byte, extra, area string) *workshop.PlanResult {
	t.Helper()
	of := func(photo int, name string) string { return twice()[photo].Area(name).Outline.String() }
	text := fmt.Sprintf(`name = "cabinet"
[target]
photo = "bench"
outline = %q
[[photo]]
name = "front"
file = "front.jpg"
reference = "none"
[[photo]]
name = "bench"
file = "bench.jpg"
%s
[[area]]
name = "frame"
photo = "front"
outline = %q
%s
[[area]]
name = "frame again"
photo = "bench"
outline = %q
[[coating]]
name = "wash"
kind = "wash"
chip = { photo = "bench", outline = %q }
[[coating.test]]
coats = 1
ground = { photo = "front", outline = %q }
result = { photo = "bench", outline = %q }
`, of(1, bench.Target), extra, of(0, bench.Frame), area, of(1, bench.Frame), of(1, bench.Chip), of(0, bench.FrameBare), of(1,
		bench.FrameTested))
	files := inMemory{"front.jpg": string(photos[0]), "bench.jpg": string(photos[1]), "cabinet.toml": text}
	piece, err := workshop.ReadPiece(files, "cabinet.toml")
	require.NoError(t, err)
	result, err := workshop.Plan(t.Context(), files, workshop.PlanRequest{Piece: *piece})
	require.NoError(t, err)
	return result
}

// noChart leaves the chart in the picture out of account.
const noChart = "reference = \"none\"\n"

func ties(names ...string) (text string) {
	for _, name := range names {
		text += fmt.Sprintf("[[tie]]\nname = %q\nin = { front = %q, bench = %q }\n", name,
			twice()[0].Area(name).Outline.String(), twice()[1].Area(name).Outline.String())
	}
	return text
}

// The frame is in both photos: tied, they give it nearly one colour, and say so.
func TestTiedPhotosAgree(t *testing.T) {
	apart := func(r *workshop.PlanResult) float64 {
		return colour.DeltaE2000(r.Areas[0].Start.Lab, r.Areas[1].Start.Lab)
	}
	untied, tied := across(t, noChart, ""), across(t, noChart+ties(bench.Slip, bench.PanelBare), "")
	require.Greater(t, apart(untied), 4.0)
	require.Less(t, apart(tied), 2.5)
	require.Less(t, apart(tied), tied.Between[0].PlusMinus)
	require.True(t, tied.Between[0].Tied)
	require.Less(t, tied.Between[0].PlusMinus, untied.Between[0].PlusMinus/3)
	require.False(t, untied.Between[0].Tied)
	require.Contains(t, fmt.Sprint(untied.Warnings), "tie.untied")
	require.NotContains(t, fmt.Sprint(tied.Warnings), "tie.untied")
	require.True(t, tied.Relative)
	t.Logf("the frame in two photos: %.1f ΔE00 apart; tied %.1f, said ± %.1f", apart(untied), apart(tied), tied.Between[0].PlusMinus)
	known := func(r *workshop.PlanResult) float64 {
		return r.Coatings[0].Report.PlusMinus(colour.Lab{L: 66, A: 7, B: 21}, 2)
	}
	require.Greater(t, known(untied), known(tied))
}

// A chart in one photo reaches the other over the ties.
func TestChartReachesTheOtherPhoto(t *testing.T) {
	corners := ""
	for _, c := range twice()[1].Corners {
		corners += fmt.Sprintf("%.1f,%.1f ", c.X, c.Y)
	}
	result := across(t, fmt.Sprintf("corners = %q\n", corners)+ties(bench.Slip, bench.PanelBare), "")
	require.False(t, result.Relative)
	off := colour.DeltaE2000(twice()[0].Area(bench.Frame).Lab, result.Areas[0].Start.Lab)
	t.Logf("frame %.1f ΔE00 off, said ± %.1f", off, result.Areas[0].Start.PlusMinus)
	require.Less(t, off, result.Areas[0].Start.PlusMinus)
	require.Less(t, off, 5.0)
	require.Contains(t, fmt.Sprint(result.Photos[0].Calibration.Warnings), "tie.by-ties photo=bench")
}

func TestAreaSeenTwiceIsAveraged(t *testing.T) {
	again := fmt.Sprintf("also = { bench = %q }", twice()[1].Area(bench.Frame).Outline.String())
	result := across(t, noChart+ties(bench.Slip, bench.PanelBare), again)
	area := result.Areas[0]
	require.Len(t, area.Views, 2)
	a, b := area.Views[0].Lab, area.Views[1].Lab
	require.InDelta(t, colour.DeltaE76(a, b), colour.DeltaE76(a, area.Start.Lab)+colour.DeltaE76(area.Start.Lab, b), 1e-9, "between the two")
	require.Less(t, area.Views[1].DeltaE, area.Views[1].PlusMinus)
	require.NotContains(t, fmt.Sprint(result.Warnings), "reading.photos-disagree")

	wrong := fmt.Sprintf("also = { bench = %q }", twice()[1].Area(bench.Panel).Outline.String())
	result = across(t, noChart+ties(bench.Slip, bench.PanelBare), wrong)
	require.Contains(t, fmt.Sprint(result.Warnings), "reading.photos-disagree frame")
}
