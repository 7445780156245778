package imageio

import (
	"math"
	"path/filepath"
	"testing"

	"huewright/internal/fixture"

	"github.com/stretchr/testify/require"
)

// The charts in real photos have far more hues and lights in them than a tile needs to be searched.
func TestTilesKeepCharts(t *testing.T) {
	photos, err := filepath.Glob(fixture.Shared("charts/*/*"))
	require.NoError(t, err)
	charts, leastHue, leastLight := 0, math.Inf(1), math.Inf(1)
	for _, path := range photos {
		p, err := Open(t.Context(), path)
		if err != nil {
			continue
		}
		found, err := p.FindChart(t.Context(), ChartSearch{})
		if err != nil {
			continue
		}
		k := (max(p.Width, p.Height) + tiledSide - 1) / tiledSide
		thumb, err := p.thumb(t.Context(), k, nil)
		require.NoError(t, err)
		all := noRange
		for y := range thumb.high {
			for x := range thumb.wide {
				if within(found.Corners, Point{float64(k) * (float64(x) + 0.5), float64(k) * (float64(y) + 0.5)}) {
					all.take(thumb.codes[3*(y*thumb.wide+x):])
				}
			}
		}
		charts++
		leastHue, leastLight = min(leastHue, all.hues()), min(leastLight, all.lights())
	}
	if charts == 0 {
		t.Skip("the shared photographs are not here")
	}
	t.Logf("%d charts: ln(red/blue) ranges over %.1f at least, ln(green) over %.1f", charts, leastHue, leastLight)
	require.Greater(t, leastHue, 1.5*leastHues)
	require.Greater(t, leastLight, 1.5*leastLights)
}
