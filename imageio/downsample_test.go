package imageio_test

import (
	"image"
	"image/color"
	"math"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
)

// A small picture has about the pixels that were asked for, each once, and each shows what the photo shows there; a photo that is small
// enough stays as it is.
func TestDownsample(t *testing.T) {
	img := image.NewNRGBA(image.Rect(0, 0, 400, 300))
	for i := range 400 * 300 {
		img.SetNRGBA(i%400, i/400, color.NRGBA{uint8(i % 400 / 2), uint8(i / 400 / 2), 90, 255})
	}
	path := t.TempDir() + "/ramp.png"
	require.NoError(t, imageio.WritePNG(t.Context(), path, img))
	p, err := imageio.Open(t.Context(), path)
	require.NoError(t, err)
	for _, most := range []int{1_000_000, 30_000, 5_000} {
		d := p.Downsampling(most)
		require.LessOrEqual(t, d.Width*d.Height, most)
		require.InDelta(t, 400, d.Step*float64(d.Width), d.Step)
		require.InDelta(t, 300, d.Step*float64(d.Height), d.Step)
		require.Equal(t, most == 1_000_000, d.Step == 1)
		var seen atomic.Int64
		require.NoError(t, p.Downsample(t.Context(), d, func(i int, r, g, _ uint8) {
			seen.Add(1)
			c := p.Linear(int(d.Step*(float64(i%d.Width)+0.5)), int(d.Step*(float64(i/d.Width)+0.5)))
			require.InDelta(t, 255*math.Sqrt(c.R), r, 2+d.Step)
			require.InDelta(t, 255*math.Sqrt(c.G), g, 2+d.Step)
		}))
		require.EqualValues(t, d.Width*d.Height, seen.Load())
	}
}
