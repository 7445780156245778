package workshop_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
	"huewright/internal/workshop"
)

// A piece file says of the light and the scale what the flags do, and sizes that it does not
// give are measured.
func TestPieceInUnevenLight(t *testing.T) {
	l := unevenly()
	outline := func(name string) string { return l.shot.Area(name).Outline.String() }
	corners := ""
	for _, c := range l.shot.Corners {
		corners += fmt.Sprintf("%.1f,%.1f ", c.X, c.Y)
	}
	files := inMemory{"front.jpg": l.files["front.jpg"], "sheet.jpg": l.files["sheet.jpg"]}
	files["piece.toml"] = fmt.Sprintf(`name = "cabinet"
target = { outline = %q }
[[photo]]
name = "front"
file = "front.jpg"
corners = %q
neutral = [%q, "94: %s"]
flat = "sheet.jpg"
chart_width = %v
[[area]]
name = "frame"
outline = %q
[[area]]
name = "panel"
outline = %q
size_m2 = 0.7
[[coating]]
name = "wash"
kind = "wash"
chip = { outline = %q }
`, outline(bench.Target), corners, outline(bench.SlipName(1)), outline(bench.SlipName(2)), bench.ChartWidth,
		outline(bench.Frame), outline(bench.Panel), outline(bench.Chip))
	piece, err := workshop.ReadPiece(files, "piece.toml")
	require.NoError(t, err)
	plan, err := workshop.Plan(t.Context(), files, workshop.PlanRequest{Piece: *piece})
	require.NoError(t, err)
	light := plan.Photos[0].Calibration.Light
	require.Equal(t, "flat", light.By)
	require.Len(t, light.Neutrals, 2)
	require.Less(t, light.Left, 0.05)
	require.InEpsilon(t, 0.046*0.270, plan.Areas[0].Area.SizeM2, 0.05) // as the stile is drawn
	require.InDelta(t, 0.7, plan.Areas[1].Area.SizeM2, 0)
}
