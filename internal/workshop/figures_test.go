package workshop_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/workshop"
)

// Somebody with a colour meter plans without any photo: all colours are figures, each with how far off it may be.
func TestPlanFromFiguresAlone(t *testing.T) {
	plan := func(radius, laid, keys string) *workshop.PlanResult {
		t.Helper()
		files := inMemory{"piece.toml": keys + `
[target]
lab = [58, 15, 24]
plus_minus = ` + radius + `
[[area]]
name = "frame"
lab = [78, 4, 19]
plus_minus = 1
surface = "sealed"
` + laid + `
[[coating]]
name = "wash"
kind = "wash"
dilution = { paint = 1, water = 3 }
chip = { hex = "#7a5038", plus_minus = 3 }
[[coating.test]]
coats = 1
ground = { lab = [78, 4, 19] }
result = { lab = [69, 9, 22] }
`}
		p, err := workshop.ReadPiece(files, "piece.toml")
		require.NoError(t, err)
		result, err := workshop.Plan(t.Context(), files, workshop.PlanRequest{Piece: *p})
		require.NoError(t, err)
		return result
	}
	fresh := plan("1", "", "")
	coats := fresh.Areas[0].Plan.Coats[0]
	require.Greater(t, coats.Count, 1)
	vague := plan("12", "", "")
	require.Greater(t, vague.Areas[0].Plan.Coats[0].Range[1]-vague.Areas[0].Plan.Coats[0].Range[0], coats.Range[1]-coats.Range[0])
	again := plan("1", "[[area.laid]]\ncoating = \"wash\"\ncoats = 1\nafter = { lab = [69, 9, 22], plus_minus = 1 }\n", "")
	require.InDelta(t, coats.Count-1, again.Areas[0].Plan.Coats[0].Count, 1)

	require.NotContains(t, fmt.Sprint(fresh.Warnings), "piece.older-grain")
	require.Contains(t, fmt.Sprint(plan("1", "", "least_grain = 0.5").Warnings), "piece.older-grain")
}
