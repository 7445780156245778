package chart

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/imageio/internal/plane"
)

// A rectangle of a known size is as large wherever it lies on the face and from wherever it is
// seen.
func TestScaleByChart(t *testing.T) {
	const wide = 270.0
	high := wide * (chartRows - chartGap) / (chartColumns - chartGap)
	for name, corners := range map[string][4]imageio.Point{
		"squarely": {{X: 100, Y: 100}, {X: 370, Y: 100}, {X: 370, Y: 100 + high}, {X: 100, Y: 100 + high}},
		"turned":   {{X: 500, Y: 100}, {X: 500, Y: 370}, {X: 500 - high, Y: 370}, {X: 500 - high, Y: 100}},
		"tilted":   {{X: 100, Y: 100}, {X: 360, Y: 130}, {X: 350, Y: 280}, {X: 110, Y: 300}},
	} {
		face := plane.FromCorners(corners)
		rect := imageio.Outline{Points: []imageio.Point{face.Point(1.2, 0.1), face.Point(1.9, 0.1), face.Point(1.9, 0.9), face.Point(1.2, 0.9)}}
		rect.Holes = [][]imageio.Point{{face.Point(1.3, 0.2), face.Point(1.4, 0.2), face.Point(1.4, 0.3), face.Point(1.3, 0.3)}}
		size, ok := ScaleByChart(corners, wide).SquareMetres(rect)
		require.True(t, ok, name)
		require.InDelta(t, (0.7*0.8-0.1*0.1)*wide*high/1e6, size, 1e-9, name)
	}
	// A floor seen from above its edge ends at the horizon.
	floor := [4]imageio.Point{{X: 400, Y: 300}, {X: 600, Y: 300}, {X: 800, Y: 500}, {X: 200, Y: 500}}
	_, ok := ScaleByChart(floor, wide).SquareMetres(imageio.Rect(400, 50, 100, 300))
	require.False(t, ok)
}

func TestScaleByLength(t *testing.T) {
	size, ok := ScaleByLength(imageio.Point{X: 10, Y: 10}, imageio.Point{X: 310, Y: 410}, 1000).SquareMetres(imageio.Rect(0, 0, 250, 500))
	require.True(t, ok)
	require.InDelta(t, 0.5, size, 1e-12)
}
