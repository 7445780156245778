package imageio_test

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/imageio"
)

// A picture of a chart tagged Display P3, and the same converted to sRGB, measure the same: every
// patch as read, and as corrected by the fit of its own picture. The two yellows that sRGB cannot
// hold are cut off in the copy: they are found so, left out of its fit, and not compared, as what
// was cut off is not there to be measured. Taken into the fit they would spoil it.
func TestChartInTwoProfilesMeasuresTheSame(t *testing.T) {
	for name, corners := range chartCorners(t, "plantcv/") {
		if !strings.Contains(name, "mini") {
			continue
		}
		tagged, err := imageio.Open(name)
		require.NoError(t, err)
		require.Contains(t, tagged.Profile, "P3")
		fit, _, chart, err := tagged.FitChart(corners, imageio.ChartOptions{})
		require.NoError(t, err)
		converted, err := imageio.Decode(asSRGB(t, tagged), "converted")
		require.NoError(t, err)
		require.Equal(t, imageio.AssumedProfile, converted.Profile)
		fitOfCopy, _, chartOfCopy, err := converted.FitChart(corners, imageio.ChartOptions{})
		require.NoError(t, err)

		compared, read, corrected := 0, 0.0, 0.0
		for i, patch := range chart.Samples {
			twin := chartOfCopy.Samples[i]
			a, b := patch.Camera, twin.Camera
			asRead, asCorrected := colour.DeltaE2000(a.Lab(), b.Lab()), colour.DeltaE2000(fit.Lab(a), fitOfCopy.Lab(b))
			require.Empty(t, patch.Skip)
			if twin.Skip != "" {
				t.Logf("%s: %.2f as read, %.2f corrected; the copy says: %s", patch.Name, asRead, asCorrected, twin.Skip)
				require.Less(t, min(a.R, a.G, a.B), 0.0, "outside sRGB")
				require.Contains(t, twin.Skip, "cut off")
				continue
			}
			compared++
			read, corrected = max(read, asRead), max(corrected, asCorrected)
		}
		t.Logf("worst of %d patches: ΔE00 %.2f as read, %.2f corrected", compared, read, corrected)
		require.GreaterOrEqual(t, compared, 22)
		require.LessOrEqual(t, read, 0.3)
		require.LessOrEqual(t, corrected, 0.3)
		return
	}
	t.Skip("the P3-tagged chart is not here")
}

// asSRGB is the photo as a PNG of 16 bits without a profile.
func asSRGB(t *testing.T, p *imageio.Photo) []byte {
	img := image.NewNRGBA64(image.Rect(0, 0, p.Width, p.Height))
	for y := range p.Height {
		for x := range p.Width {
			c := p.Linear(x, y)
			img.SetNRGBA64(x, y, color.NRGBA64{R: code16(c.R), G: code16(c.G), B: code16(c.B), A: 0xffff})
		}
	}
	var file bytes.Buffer
	require.NoError(t, png.Encode(&file, img))
	return file.Bytes()
}

// code16 applies the transfer curve of IEC 61966-2-1.
func code16(v float64) uint16 {
	v = min(max(v, 0), 1)
	if v <= 0.0031308 {
		v *= 12.92
	} else {
		v = 1.055*math.Pow(v, 1/2.4) - 0.055
	}
	return uint16(math.Round(v * 65535))
}
