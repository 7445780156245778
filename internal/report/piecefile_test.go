package report_test

import (
	"bytes"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/piece"
	"huewright/internal/report"
)

// begun is a piece as a measurement of one photo begins it.
func begun() *piece.Piece {
	return &piece.Piece{
		Name: "front", Photos: []piece.Photo{{Name: "front", File: "shots/front.heic"}},
		Areas: []piece.Area{
			{Name: "frame", Photo: "front", Outline: "490,200,55,360"}, {Name: "panel", Photo: "front", Outline: "991,515 1100,515 1100,800"},
		},
	}
}

// plannedByFlags says all that flags can say.
func plannedByFlags() *piece.Piece {
	return &piece.Piece{
		Name: `the "hall" bench`, Target: &piece.ColourSource{Photo: "side", Outline: "1,2,30,40"},
		Photos: []piece.Photo{
			{
				Name: "front", File: `old\front.jpg`, Reference: "chart", Corners: "10,10 90,10 90,60 10,60", ChartAt: "20,20", Edition: "before-2014",
				ChartValues: "mine.csv", ChartWidth: 250.5,
			},
			{
				Name: "side", File: "side.jpg", Grey: "1,2,30,40", GreyLightness: 94, Neutrals: []string{"1,2,30,40", "50: 5,6,30,40"},
				NeutralLightness: 93, Flat: "sheet.jpg", Scale: &piece.Scale{From: "1,2", To: "1,200", MM: 300},
			},
		},
		Ties: []piece.Tie{{Name: "slip", In: map[string]string{"front": "1,2,30,40", "side": "5,6,30,40"}}},
		Areas: []piece.Area{
			{Name: "frame", Photo: "front", Outline: "490,200,55,360", Also: map[string]string{"side": "10,20,30,40"}},
		},
		Coatings: []piece.Coating{
			{Name: "amber", Kind: "glaze", Chip: &piece.ColourSource{Hex: "#9a6a30"}, Dilution: &piece.Dilution{Paint: 1, Water: 2.5}},
			{Name: "umber", Kind: "stain", Chip: &piece.ColourSource{Lab: []float64{30.5, 8, 12}}},
			{Name: "blob", Kind: "wash", Chip: &piece.ColourSource{Outline: "5,5,20,20", Photo: "side"}},
		},
	}
}

func asFile(t *testing.T, p *piece.Piece) string {
	var out bytes.Buffer
	require.NoError(t, report.Style{}.PieceFile(&out, p, nil))
	return out.String()
}

// A piece file that is written is read as the piece it was written from.
func TestPieceFileIsReadAgain(t *testing.T) {
	one := begun()
	again, err := piece.Read("front.toml", []byte(asFile(t, one)), piece.Limits{})
	require.NoError(t, err)
	for i := range one.Areas {
		one.Areas[i].Photo = "" // it is the only one
	}
	require.Equal(t, one, again)
	all := plannedByFlags()
	all.Photos[1].NotSlips, all.Photos[1].SlipCorners = []string{"7,8", "9,10"}, []string{"1,1 9,1 9,9 1,9"} // which no flag says
	again, err = piece.Read("bench.toml", []byte(asFile(t, all)), piece.Limits{})
	require.NoError(t, err)
	require.Equal(t, all, again)
	all.Target = &piece.ColourSource{Area: "frame"}
	again, err = piece.Read("bench.toml", []byte(asFile(t, all)), piece.Limits{})
	require.NoError(t, err)
	require.Equal(t, all.Target, again.Target)
}

// Every line behind a # in what was begun is a line that may stand there, and together they make a piece that can be planned.
func TestPieceFileRemarksAreRight(t *testing.T) {
	line := regexp.MustCompile(`(?m)^# (\[|[a-z_0-9]+ = )`)
	text := asFile(t, begun())
	require.Len(t, line.FindAllString(text, -1), 12)
	p, err := piece.Read("front.toml", []byte(line.ReplaceAllString(text, "$1")), piece.Limits{})
	require.NoError(t, err)
	require.Equal(t, &piece.Dilution{Paint: 1, Water: 4}, p.Coatings[0].Dilution)
	require.NotNil(t, p.Target)
}
