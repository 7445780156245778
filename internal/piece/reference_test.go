package piece_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
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
		"card":    {Kind: "grey", Grey: &grey, GreyLightness: 94},
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
