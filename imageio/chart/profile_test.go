package chart_test

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
	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/internal/figure"
)

// A picture of a chart tagged Display P3, and the same converted to sRGB, measure the same: every
// patch as read, and as corrected by the fit of its own picture. Patches that sRGB cannot hold are
// left out of both, since the conversion cut them off: what is gone is not there to be measured.
// The log says which, and what fits that take them in make of the others.
func TestChartInTwoProfilesMeasuresTheSame(t *testing.T) {
	for name, corners := range chartCorners(t, "plantcv/") {
		if !strings.Contains(name, "mini") {
			continue
		}
		tagged, err := imageio.Open(t.Context(), name)
		require.NoError(t, err)
		require.Contains(t, tagged.Profile, "P3")
		fit, _, seen, err := chart.Fit(t.Context(), tagged, corners, chart.Options{})
		require.NoError(t, err)
		converted, err := imageio.Decode(t.Context(), asSRGB(t, tagged), "converted")
		require.NoError(t, err)
		require.Equal(t, "sRGB assumed", converted.Profile)
		fitOfCopy, _, chartOfCopy, err := chart.Fit(t.Context(), converted, corners, chart.Options{})
		require.NoError(t, err)

		var ours, ofCopy []camera.Sample
		read, others, cutOff := 0.0, 0.0, 0.0
		for i, patch := range seen.Samples {
			twin := chartOfCopy.Samples[i]
			a, b := patch.Camera, twin.Camera
			asRead, corrected := colour.DeltaE2000(a.Lab(), b.Lab()), colour.DeltaE2000(fit.Lab(a), fitOfCopy.Lab(b))
			if min(a.R, a.G, a.B) < 0 {
				cutOff = max(cutOff, asRead)
				t.Logf("%s is outside sRGB: %.2f as read, %.2f corrected", patch.Name, asRead, corrected)
				continue
			}
			read, others = max(read, asRead), max(others, corrected)
			ours, ofCopy = append(ours, patch), append(ofCopy, twin)
		}
		require.GreaterOrEqual(t, len(ours), 20)
		fit, _, err = camera.Fit(ours)
		require.NoError(t, err)
		fitOfCopy, _, err = camera.Fit(ofCopy)
		require.NoError(t, err)
		corrected := 0.0
		for i := range ours {
			corrected = max(corrected, colour.DeltaE2000(fit.Lab(ours[i].Camera), fitOfCopy.Lab(ofCopy[i].Camera)))
		}
		figure.Report(t, "two profiles/as read and as corrected", "%.2f and %.2f over %d patches", read, corrected, len(ours))
		figure.Report(t, "two profiles/cut-off patches", "%.1f as read; with them in the fit the others are off by %.1f", cutOff, others)
		require.LessOrEqual(t, read, 0.3)
		require.LessOrEqual(t, corrected, 0.3)
		return
	}
	require.Fail(t, "no chart tagged Display P3 among those with corners")
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
