package workshop_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/internal/bench"
	"huewright/internal/figure"
	"huewright/internal/workshop"
)

// exposed is one cabinet at one exposure, its frame to come to a colour that is given in figures.
func exposed(t *testing.T, shot *bench.Shot, target colour.Lab, reference string) *workshop.PlanResult {
	t.Helper()
	of := func(name string) string { return shot.Area(name).Outline.String() }
	text := fmt.Sprintf(`name = "cabinet"
price = 0.02
[target]
lab = [%.2f, %.2f, %.2f]
[[photo]]
name = "front"
file = "front.jpg"
%s
[[area]]
name = "frame"
surface = "sealed"
outline = %q
`+washTested, target.L, target.A, target.B, reference, of(bench.Frame), of(bench.Chip), of(bench.FrameBare), of(bench.FrameTested),
		of(bench.PanelBare), of(bench.PanelTested))
	files := inMemory{"front.jpg": string(shot.JPEG), "cabinet.toml": text}
	piece, err := workshop.ReadPiece(files, "cabinet.toml")
	require.NoError(t, err)
	result, err := workshop.Plan(t.Context(), files, workshop.PlanRequest{Piece: *piece})
	require.NoError(t, err)
	return result
}

// A target in figures and a wood in a photo without reference are known apart no better than the photo is exposed: plans from one
// scene at three exposures have ranges that hold the truth and one another, and say why they are wide. A chart makes them narrow.
func TestExposureIsInTheRanges(t *testing.T) {
	cases := []struct {
		name, reference      string
		held, overlap, width float64
	}{
		{name: "nothing known", reference: "reference = \"none\""},
		{name: "a slip of paper"},
		{name: "a chart"},
	}
	var sets, trials float64
	for seed := range uint64(figure.Draws(2, 12)) {
		opt := bench.DrawCabinet(seed)
		scene, camera := bench.Cabinet(opt), bench.DrawCamera(seed, bench.Mild)
		sets++
		var ranges [3][][2]int
		for _, exposure := range []float64{0.65, 0.85, 1.05} {
			camera.Exposure = exposure
			shot := scene.Shoot(bench.View{Width: 960, Height: 720, SamplesPerSide: 1}, camera)
			trials++
			slip := shot.Area(bench.Slip)
			cases[1].reference = fmt.Sprintf("grey = %q\ngrey_lightness = %.1f", slip.Outline.String(), slip.Lab.L)
			cases[2].reference = "corners = \""
			for _, c := range shot.Corners {
				cases[2].reference += fmt.Sprintf("%.1f,%.1f ", c.X, c.Y)
			}
			cases[2].reference += "\""
			truly := 2 + int(seed%3)
			target := shot.Area(bench.Frame).After(opt.Wash, float64(truly))
			for i := range cases {
				c, result := &cases[i], exposed(t, shot, target, cases[i].reference)
				got := result.Areas[0].Single[0].Range
				t.Logf("seed %d, exposure %.1f, %s: %d coats in truth, range %v", seed, exposure, c.name, truly, got)
				ranges[i] = append(ranges[i], got)
				c.width += float64(got[1] - got[0] + 1)
				if truly >= got[0] && truly <= got[1] {
					c.held++
				}
				said := fmt.Sprint(result.Warnings)
				if i == 0 {
					require.Contains(t, said, "reading.photo-without-reference")
				} else {
					require.NotContains(t, said, "reading.photo-without-reference")
				}
			}
		}
		for i := range cases {
			low, high := 0, 99
			for _, r := range ranges[i] {
				low, high = max(low, r[0]), min(high, r[1])
			}
			if low <= high {
				cases[i].overlap++
			}
		}
	}
	for _, c := range cases {
		t.Logf("%s: ranges hold the truth in %.0f %% of %.0f, %.1f counts wide; of three exposures they overlap in %.0f of %.0f", c.name,
			100*c.held/trials, trials, c.width/trials, c.overlap, sets)
		figure.Report(t, "exposures/"+c.name, "%.0f %% of %.0f, %.1f counts wide; %.0f of %.0f", 100*c.held/trials, trials, c.width/trials,
			c.overlap, sets)
		require.Equal(t, sets, c.overlap, c.name)
	}
	require.Less(t, cases[2].width, cases[0].width)
	figure.AtLeast(t, 0.76, cases[2].held/trials, sets) // three exposures of one scene are alike
}
