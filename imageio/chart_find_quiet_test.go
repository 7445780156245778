package imageio

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
)

// A chart on wood is never in a quiet part, as small as it may be, by a warm lamp and in the
// dark too; the wood away from it is.
func TestQuietParts(t *testing.T) {
	const pitch, left, top = 7, 400, 300 // pixels
	patches := colour.Chart24(colour.Since2014)
	for name, lamp := range map[string]colour.LinearRGB{
		"daylight": {R: 1, G: 1, B: 1}, "warm lamp": {R: 1, G: 0.6, B: 0.2}, "blue shade": {R: 0.5, G: 0.8, B: 1.2}, "in the dark": {R: 0.12, G: 0.12, B: 0.12},
	} {
		grain := newGrain(5, 1024, 768, 3, 90)
		photo := photoOf(t, 1024, 768, func(x, y int) colour.LinearRGB {
			c := oak(grain.at(x, y) / 2)
			column, row := (x-left)/pitch, (y-top)/pitch
			if x >= left && y >= top && column < chartColumns && row < chartRows {
				c = patches[row*chartColumns+column].Lab.LinearRGB()
			}
			return colour.LinearRGB{R: lamp.R * c.R, G: lamp.G * c.G, B: lamp.B * c.B}
		})
		m, nowhere := photo.thumb(1, nil).quietness()
		require.False(t, nowhere, name)
		for y := top; y < top+chartRows*pitch; y++ {
			for x := left; x < left+chartColumns*pitch; x++ {
				quiet, _ := m.at(x, y)
				require.False(t, quiet, "%s: (%d, %d)", name, x, y)
			}
		}
		quiet, _ := m.at(900, 100)
		require.True(t, quiet, name)
	}
	wood := photoOf(t, 1024, 768, func(x, y int) colour.LinearRGB { return oak(float64((x*7+y*13)%10)/10 - 0.5) })
	_, nowhere := wood.thumb(1, nil).quietness()
	require.True(t, nowhere)
}
