package piece_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// A reference that is written into a piece file is read back as it was.
func TestReferenceInPiece(t *testing.T) {
	corners := [4]imageio.Point{{X: 10.5, Y: 10}, {X: 90, Y: 11}, {X: 89, Y: 60.25}, {X: 9, Y: 60}}
	grey, slip := imageio.Rect(1, 2, 30, 40), imageio.Rect(5.5, 6, 7, 8)
	for name, r := range map[string]piece.Reference{
		"nothing": {},
		"chart":   {Kind: "chart", Corners: &corners, Edition: "before-2014", ChartValues: "mine.csv", ChartWidth: 250},
		"several": {Kind: "chart", ChartAt: &imageio.Point{X: 12, Y: 34.5}},
		"slips marked": {SlipMarks: piece.SlipMarks{NotSlips: []imageio.Point{{X: 1, Y: 2.5}},
			SlipCorners: [][4]imageio.Point{corners, corners}}},
		"card": {Kind: "grey", Grey: &grey, GreyLightness: 94},
		"slips": {
			Kind: "neutral", NeutralLightness: 93, Flat: "sheet.jpg", Neutrals: []piece.Neutral{{Outline: slip}, {Outline: grey, Lightness: 50}},
			Length: &piece.Length{From: imageio.Point{X: 1, Y: 2}, To: imageio.Point{X: 1, Y: 200}, MM: 300},
		},
	} {
		photo := r.InPiece("front", "front.jpg")
		again, err := photo.ReadReference()
		require.NoError(t, err, name)
		require.Equal(t, r, again, name)
	}
	photo := piece.Reference{Kind: "auto", GreyLightness: 50}.InPiece("front", "front.jpg")
	require.Equal(t, piece.Photo{Name: "front", File: "front.jpg"}, photo, "what is usual need not be said")
}

// Corners of a slip that are none are refused by their key.
func TestSlipCornersAreRead(t *testing.T) {
	for text, code := range map[string]fault.Code{
		"1,2 3,4 5,6": "piece.slip-corners", "": "piece.slip-corners", "1,2 3,4 5,6 7": "piece.point", "1,2 3,4 5,6 x,8": "piece.point",
	} {
		photo := piece.Photo{Name: "front", File: "front.jpg", SlipCorners: []string{text}}
		_, err := photo.ReadReference()
		require.True(t, fault.Is(err, code), "%q: %v", text, err)
		require.Zero(t, (&piece.Piece{Photos: []piece.Photo{photo}}).SlipMarksOf("front.jpg").SlipCorners, text)
	}
}
