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
	frame := "That takes 240 ml: 60 ml umber wash, 20 ml amber wash and 160 ml water (15 % spare)."
	require.Equal(t, frame, Style{}.mixVolumes(r, m))
	m.Areas[1].Coats = 2 // on 100 cm² at 9 m² a litre: 2.2 ml
	require.Equal(t, frame+" The panel takes up to 2 ml of it on each hand-wide square, for all its coats.",
		Style{}.mixVolumes(r, m))
	m.Areas[1].Water, r.Areas[2].Area.SizeM2 = 4, 0.3 // 67 ml, with 15 % to spare 78: 80 ml in 8 parts
	require.Equal(t, "For the frame that takes 240 ml: 60 ml umber wash, 20 ml amber wash and 160 ml water (15 % spare). "+
		"For the panel that takes 80 ml: 30 ml umber wash, 10 ml amber wash and 40 ml water (15 % spare).", Style{}.mixVolumes(r, m))
	m.Areas[1].Water = 8 // of 266.7 ml, 313.7 ml with its spare, 320 ml: a quarter is the panel's
	require.Equal(t, "That takes 320 ml: 80 ml umber wash, 27 ml amber wash and 213 ml water (15 % spare). Of it 240 ml for the frame and "+
		"80 ml for the panel.", Style{}.mixVolumes(r, m))
}
