package imageio_test

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/imageio"
)

// A picture of a chart tagged Display P3, and the same converted to sRGB of 8 bits, measure the
// same: every patch as read, and as corrected by the fit of its own picture.
func TestChartInTwoProfilesMeasuresTheSame(t *testing.T) {
	for name, corners := range chartCorners(t, "plantcv/") {
		if !strings.Contains(name, "mini") {
			continue
		}
		tagged, err := imageio.Open(name)
		require.NoError(t, err)
		require.Contains(t, tagged.Profile, "P3")
		converted, err := imageio.Decode(asSRGB(t, tagged), "converted")
		require.NoError(t, err)
		require.Equal(t, imageio.AssumedProfile, converted.Profile)

		fitA, _, a, err := tagged.FitChart(corners, imageio.ChartOptions{})
		require.NoError(t, err)
		fitB, _, b, err := converted.FitChart(corners, imageio.ChartOptions{})
		require.NoError(t, err)
		require.Len(t, b.Samples, len(a.Samples))
		read, corrected := 0.0, 0.0
		for i := range a.Samples {
			ca, cb := a.Samples[i].Camera, b.Samples[i].Camera
			read = max(read, colour.DeltaE2000(ca.Lab(), cb.Lab()))
			corrected = max(corrected, colour.DeltaE2000(fitA.Lab(ca), fitB.Lab(cb)))
		}
		t.Logf("worst of %d patches: ΔE00 %.2f as read, %.2f corrected", len(a.Samples), read, corrected)
		require.LessOrEqual(t, read, 0.3)
		require.LessOrEqual(t, corrected, 0.3)
		return
	}
	t.Skip("the P3-tagged chart is not here")
}

func asSRGB(t *testing.T, p *imageio.Photo) []byte {
	img := image.NewNRGBA(image.Rect(0, 0, p.Width, p.Height))
	for y := range p.Height {
		for x := range p.Width {
			c := p.Linear(x, y).Encode()
			img.SetNRGBA(x, y, color.NRGBA{R: c.R, G: c.G, B: c.B, A: 255})
		}
	}
	var file bytes.Buffer
	require.NoError(t, png.Encode(&file, img))
	return file.Bytes()
}
