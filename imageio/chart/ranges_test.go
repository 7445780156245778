package chart

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/imageio/internal/blob"
	"huewright/imageio/internal/plane"
	"huewright/internal/fixture"
)

// The charts in real photos have far more hues and lights in them than a tile needs to be searched.
func TestTilesKeepCharts(t *testing.T) {
	photos := fixture.NeedShared(t, "charts/*/*")
	charts, leastHue, leastLight := 0, math.Inf(1), math.Inf(1)
	for _, path := range photos {
		p, err := imageio.Open(t.Context(), path)
		if err != nil {
			continue
		}
		found, err := Find(t.Context(), p, Search{})
		if err != nil {
			continue
		}
		k := (max(p.Width, p.Height) + rangesSide - 1) / rangesSide
		small, err := blob.Downsample(t.Context(), p, k, nil)
		require.NoError(t, err)
		all := noRange
		for y := range small.High {
			for x := range small.Wide {
				if plane.Encloses(found.Corners, imageio.Point{X: float64(k) * (float64(x) + 0.5), Y: float64(k) * (float64(y) + 0.5)}) {
					all.include(small.Codes[3*(y*small.Wide+x):])
				}
			}
		}
		charts++
		leastHue, leastLight = min(leastHue, all.hues()), min(leastLight, all.lights())
	}
	require.Positive(t, charts, "no chart found in any photo")
	t.Logf("%d charts: ln(red/blue) ranges over %.1f at least, ln(green) over %.1f", charts, leastHue, leastLight)
	require.Greater(t, leastHue, 1.5*leastHues)
	require.Greater(t, leastLight, 1.5*leastLights)
}
