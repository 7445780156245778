package report

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend/plan"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// A coating and a mix are thinned with what their family is thinned with.
func TestThinnerByFamily(t *testing.T) {
	r := &workshop.PlanResult{Piece: piece.Piece{Coatings: []piece.Coating{
		{Name: "umber stain"}, {Name: "amber stain", Family: "oil", Dilution: &piece.Dilution{Paint: 1, Water: 3}}}}}
	m := &plan.MixPlan{Parts: []plan.MixPart{{Coating: "umber stain", Parts: 1}, {Coating: "amber stain", Parts: 1}}, Water: 2,
		Areas: []plan.MixArea{{Name: "frame", Coats: 2, Water: 2}, {Name: "panel", Coats: 1, Water: 2}}}
	require.Equal(t, "1 part paint to 3 parts white spirit", Style{}.dilution(&r.Piece.Coatings[1]))
	require.Equal(t, "1 part paint to 3 parts mineral spirits", Style{}.Of(&piece.Piece{Units: "us"}).dilution(&r.Piece.Coatings[1]))
	require.Equal(t, "undiluted", Style{}.dilution(&r.Piece.Coatings[0]))
	require.Contains(t, Style{}.mix(r, "One mix:", m), "and 2 parts of white spirit. Lay 2 coats on the frame and 1 coat on the panel.")
	m.Areas[1].Water = 0
	require.Contains(t, Style{}.mix(r, "One count:", m),
		"2 coats on the frame with 2 parts of white spirit and 1 coat on the panel, not thinned")
}
