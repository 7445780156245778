package workshop

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
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
	require.Contains(t, warnings[0].String(), `photos "before" and "after": white balance auto in one and manual in the other`)
}
