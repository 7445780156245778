package workshop

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// Photos of one piece that the camera took in different ways are named; unused ones are not.
func TestUnlikePhotosAreNamed(t *testing.T) {
	taken := func(name, balance string) *calibratedPhoto {
		return &calibratedPhoto{name: name, photo: &imageio.Photo{Facts: imageio.ShootingFacts{WhiteBalance: balance}}}
	}
	photos := &Photos{
		piece:  &piece.Piece{Photos: []piece.Photo{{Name: "before"}, {Name: "unused"}, {Name: "same"}, {Name: "after"}}},
		photos: []*calibratedPhoto{taken("before", "auto"), nil, taken("same", "auto"), taken("after", "manual")},
	}
	warnings := photos.unlike()
	require.Len(t, warnings, 1)
	require.Equal(t, fault.Code("photo.unlike"), warnings[0].Code)
	require.Equal(t, "before", warnings[0].Values["one"])
	require.Equal(t, "after", warnings[0].Values["other"])
	require.Len(t, warnings[0].Values["differences"], 1, "the white balance")
}
