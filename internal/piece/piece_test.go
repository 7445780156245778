package piece_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/piece"
)

const wholePiece = `name = "hall bench"

[target]
lab = [44.1, 14.2, 19.8]

[[photo]]
name = "front"
file = "front.jpg"
corners = "10,10 90,10 90,60 10,60"

[[area]]
name = "frame"
outline = "10,10,50,50"
surface = "sealed"

[[coating]]
name = "brown wash"
kind = "wash"
chip = { hex = "#5a4030" }
dilution = { paint = 1, water = 4 }

[[coating.test]]
coats = 1
ground = { area = "frame" }
result = { outline = "10,70,20,20" }
`

func TestReadPiece(t *testing.T) {
	piece, err := piece.Read("bench.toml", []byte(wholePiece), piece.Limits{})
	require.NoError(t, err)
	require.Equal(t, "hall bench", piece.Name)
	require.Equal(t, "brown wash", piece.Coatings[0].Name)
	require.InDelta(t, 0.2, piece.Coatings[0].Dilution.Share(), 1e-12)
	require.InDelta(t, 0.2, piece.Coatings[0].PaintShare(), 1e-12)
	require.Equal(t, "1 part paint to 4 parts water", piece.Coatings[0].Dilution.String())
	require.Equal(t, "frame", piece.Coatings[0].Tests[0].Ground.Area)
}

// A test coat lies on the wood that it names, else on that of the area it lies on; areas that name no wood are each like themselves.
func TestWoodOfTestCoats(t *testing.T) {
	p := piece.Piece{Areas: []piece.Area{{Name: "frame", Wood: "ash"}, {Name: "panel"}}}
	on := func(area string) piece.ColourSource { return piece.ColourSource{Area: area} }
	require.Equal(t, "ash", p.WoodOf(&piece.TestCoat{Ground: on("frame")}))
	require.Equal(t, "panel", p.WoodOf(&piece.TestCoat{Ground: on("panel")}))
	require.Equal(t, "sapwood", p.WoodOf(&piece.TestCoat{Ground: on("frame"), Wood: "sapwood"}))
	require.Equal(t, "", p.WoodOf(&piece.TestCoat{Ground: piece.ColourSource{Hex: "#c8a878"}}))
}

func TestDilutionInWords(t *testing.T) {
	require.Zero(t, (&piece.Coating{}).PaintShare(), "what comes thinned is not known")
	require.Equal(t, "undiluted", (*piece.Dilution)(nil).String())
	require.Equal(t, "2 parts paint to 1 part water", (&piece.Dilution{Paint: 2, Water: 1}).String())
	require.InDelta(t, 1, (*piece.Dilution)(nil).Share(), 0)
}
