package imageio

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestPlaneAndItsInverse(t *testing.T) {
	m := planeOf([4]Point{{120, 80}, {980, 140}, {900, 660}, {150, 560}})
	for _, at := range []Point{{0, 0}, {1, 0}, {0.3, 0.8}, {1.4, -0.2}, {-0.6, 0.5}} {
		u, v, ok := m.inverse(m.point(at.X, at.Y))
		require.True(t, ok)
		require.InDelta(t, at.X, u, 1e-9)
		require.InDelta(t, at.Y, v, 1e-9)
	}
}

// A rectangle of a known size is as large wherever it lies on the face and from wherever it is
// seen.
func TestScaleByChart(t *testing.T) {
	const wide = 270.0
	high := wide * (chartRows - chartGap) / (chartColumns - chartGap)
	for name, corners := range map[string][4]Point{
		"squarely": {{100, 100}, {370, 100}, {370, 100 + high}, {100, 100 + high}},
		"turned":   {{500, 100}, {500, 370}, {500 - high, 370}, {500 - high, 100}},
		"tilted":   {{100, 100}, {360, 130}, {350, 280}, {110, 300}},
	} {
		face := planeOf(corners)
		rect := Outline{Points: []Point{face.point(1.2, 0.1), face.point(1.9, 0.1), face.point(1.9, 0.9), face.point(1.2, 0.9)}}
		rect.Holes = [][]Point{{face.point(1.3, 0.2), face.point(1.4, 0.2), face.point(1.4, 0.3), face.point(1.3, 0.3)}}
		size, ok := ScaleByChart(corners, wide).SquareMetres(rect)
		require.True(t, ok, name)
		require.InDelta(t, (0.7*0.8-0.1*0.1)*wide*high/1e6, size, 1e-9, name)
	}
	// A floor seen from above its edge ends at the horizon.
	_, ok := ScaleByChart([4]Point{{400, 300}, {600, 300}, {800, 500}, {200, 500}}, wide).SquareMetres(Rect(400, 50, 100, 300))
	require.False(t, ok)
}

func TestScaleByLength(t *testing.T) {
	size, ok := ScaleByLength(Point{10, 10}, Point{310, 410}, 1000).SquareMetres(Rect(0, 0, 250, 500))
	require.True(t, ok)
	require.InDelta(t, 0.5, size, 1e-12)
}
