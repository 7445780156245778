package workshop

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
)

// Photos of one piece that the camera took in different ways are named; unused ones are not.
func TestUnlikePhotosAreNamed(t *testing.T) {
	taken := func(balance string) *shot {
		return &shot{photo: &imageio.Photo{Facts: imageio.ShootingFacts{WhiteBalance: balance}}}
	}
	j := &job{
		piece: &Piece{Photos: []PiecePhoto{{Name: "before"}, {Name: "unused"}, {Name: "same"}, {Name: "after"}}},
		shots: map[string]*shot{"before": taken("auto"), "same": taken("auto"), "after": taken("manual")},
	}
	j.compareShots()
	require.Len(t, j.warnings, 1)
	require.Contains(t, j.warnings[0], `photos "before" and "after": white balance auto in one and manual in the other`)
}
