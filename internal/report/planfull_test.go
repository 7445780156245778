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

// A mix is told in millilitres where all sizes are known: 0.6 m² in 3 coats at 9 m² a litre are 200 ml, with 15 % to spare 235 ml,
// measured as 240 ml; of 12 parts that is 20 ml a part.
func TestMixInMillilitres(t *testing.T) {
	r := &workshop.PlanResult{
		Piece: piece.Piece{Coatings: []piece.Coating{{Name: "umber wash", Spread: 9}, {Name: "amber wash", Spread: 9}}},
		Areas: []workshop.AreaPlan{{Area: piece.Area{Name: "frame", SizeM2: 0.6, Surface: "sealed"}},
			{Area: piece.Area{Name: "patch", PartOf: "frame"}}, {Area: piece.Area{Name: "panel"}}},
	}
	m := &plan.MixPlan{Parts: []plan.MixPart{{Coating: "umber wash", Parts: 3}, {Coating: "amber wash", Parts: 1}}, Water: 8,
		Areas: []plan.MixArea{{Name: "frame", Coats: 3, Water: 8}, {Name: "panel", Water: 8}}}
	require.Equal(t, "That takes 240 ml: 60 ml umber wash, 20 ml amber wash and 160 ml water (15 % spare).", Style{}.mixVolumes(r, m))
	m.Areas[1].Coats = 1
	require.Empty(t, Style{}.mixVolumes(r, m), "nobody has said how large the panel is")
	m.Areas[1].Coats, m.Areas[1].Water = 0, 2
	require.Empty(t, Style{}.mixVolumes(r, m), "it is thinned for each area")
}
