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

// Figures that were read of wet wood, or under a clear coat, are not those of dry wood. A target stays as it was seen where the piece
// will be seen so.
func TestPlanFromStates(t *testing.T) {
	plan := func(area, target, clear string) *workshop.PlanResult {
		t.Helper()
		files := inMemory{"piece.toml": `
[target]
` + target + `
[[area]]
name = "frame"
` + area + `
surface = "sealed"
[[coating]]
name = "wash"
kind = "wash"
chip = { lab = [38, 14, 18] }
[[coating.test]]
coats = 1
ground = { lab = [78, 4, 19], surface = "sealed" }
result = { lab = [69, 9, 22] }
` + clear}
		p, err := workshop.ReadPiece(files, "piece.toml")
		require.NoError(t, err)
		result, err := workshop.Plan(t.Context(), files, workshop.PlanRequest{Piece: *p})
		require.NoError(t, err)
		return result
	}
	now := func(r *workshop.PlanResult) workshop.Read { return r.Readings[len(r.Readings)-2] }
	const clear = "[clear]\n[[clear.test]]\nbefore = { lab = [78, 4, 19] }\nafter = { lab = [70, 7, 27] }\n"
	dry := plan("lab = [78, 4, 19]", "lab = [50, 14, 23]", "")
	wet := plan("lab = [70, 7, 27]\nstate = \"wet\"", "lab = [50, 14, 23]", clear)
	require.Contains(t, fmt.Sprint(wet.Warnings), "reading.taken-dry")
	require.NotContains(t, fmt.Sprint(dry.Warnings), "reading.taken-dry")
	require.Equal(t, "frame", now(wet).Name)
	require.Greater(t, now(wet).Measured.Lab.L, 73.0, "dry it is paler")
	require.Greater(t, now(wet).Measured.PlusMinus, now(dry).Measured.PlusMinus)

	goal := func(r *workshop.PlanResult) float64 { return r.Readings[len(r.Readings)-1].Measured.Lab.L }
	require.InDelta(t, 50, goal(plan("lab = [78, 4, 19]", "lab = [50, 14, 23]\nstate = \"clear-coated\"", clear)), 1e-9)
	require.InDelta(t, 50, goal(plan("lab = [78, 4, 19]", "lab = [50, 14, 23]\nstate = \"wet\"", clear)), 1e-9)
	require.Greater(t, goal(plan("lab = [78, 4, 19]", "lab = [50, 14, 23]\nstate = \"wet\"", "")), 53.0, "nothing will wet it")

	coats := func(r *workshop.PlanResult) int { return r.Areas[0].Plan.Coats[0].Count }
	const asSeen = "lab = [50, 14, 23]\nstate = \"clear-coated\""
	seen, bare := plan("lab = [78, 4, 19]", asSeen, clear), plan("lab = [78, 4, 19]", "lab = [50, 14, 23]", clear)
	require.Less(t, coats(seen), coats(bare), "a clear coat deepens: what is to look so under it needs fewer coats than what looks so dry")
	require.Contains(t, fmt.Sprint(plan("lab = [78, 4, 19]", asSeen, "").Warnings), "reading.other-state")
}

// A mix that was smeared is a coating with parts: it can be laid, and its paints are mixed anew, better.
func TestPlanWithASmearOfAMix(t *testing.T) {
	plan := func(mix string) *workshop.PlanResult {
		t.Helper()
		files := inMemory{"piece.toml": `
[target]
lab = [62, 9, 20]
[[area]]
name = "door"
lab = [30, 10, 12]
surface = "non-absorbing"
[[coating]]
name = "white"
kind = "paint"
chip = "94, -1, 4"
[[coating]]
name = "ochre"
kind = "paint"
chip = "45, 16, 30"
` + mix}
		p, err := workshop.ReadPiece(files, "piece.toml")
		require.NoError(t, err)
		result, err := workshop.Plan(t.Context(), files, workshop.PlanRequest{Piece: *p})
		require.NoError(t, err)
		return result
	}
	smear := func(parts string) string {
		return "[[coating]]\nname = \"first mix\"\nkind = \"paint\"\nparts = " + parts + "\nchip = \"54, 13, 25\"\n"
	}
	before := plan("")
	require.True(t, before.Mix.MixedMore)
	require.True(t, before.Mix.FirstGuess())
	after := plan(smear(`"3 white, 1 ochre"`))
	require.Len(t, after.Coatings, 3, "the mix is on the shelf")
	require.False(t, after.Mix.FirstGuess())
	width := func(r *workshop.PlanResult) float64 { return r.Mix.OneMix.DeltaE.High - r.Mix.OneMix.DeltaE.Low }
	require.Less(t, width(after), width(before))
	for _, part := range after.Mix.OneMix.Parts {
		require.True(t, len(after.Mix.OneMix.Parts) == 1 || part.Coating != "first mix", "mixes are made of paints")
	}
	inFull := plan(smear(`[{ coating = "white", parts = 3 }, { coating = "ochre", parts = 1 }]`))
	require.Equal(t, after.Mix.OneMix.DeltaE, inFull.Mix.OneMix.DeltaE)
	weighed := plan(smear("\"3 white, 1 ochre\"\nweighed = true"))
	require.NotEqual(t, after.Mix.OneMix.DeltaE, weighed.Mix.OneMix.DeltaE)
}
