package sample

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/imageio/internal/imagetest"
	"huewright/internal/fault"
)

// Wood in a real photo measures as wood. The outlines were drawn by eye.
func TestWoodInAPhonePhoto(t *testing.T) {
	p, err := imageio.Open(t.Context(), imagetest.PhonePhoto(t))
	require.NoError(t, err)
	require.Equal(t, [2]int{3024, 4032}, [2]int{p.Width, p.Height}, "upright once")
	require.Equal(t, "HEIC", p.Format)
	require.Equal(t, "Display P3", p.Profile)
	require.Len(t, p.Warnings, 1)
	require.Equal(t, fault.Code("photo.gain-map"), p.Warnings[0].Code)
	require.Equal(t, 250, p.Facts.ISO)
	require.False(t, p.Facts.Flash)
	require.Equal(t, "auto", p.Facts.WhiteBalance)
	require.InDelta(t, 1.0/60, p.Facts.Exposure, 1e-6)

	for name, outline := range map[string]imageio.Outline{
		"cabinet, shaded door": imageio.Rect(715, 1950, 130, 290),
		"cabinet, lit door":    imageio.Rect(2790, 2050, 90, 240),
		"table":                imageio.Rect(100, 3150, 500, 700),
		"chair":                imageio.Rect(2480, 2930, 240, 60),
		"floor by the window":  imageio.Rect(2480, 2505, 180, 45),
		"floor, pale row":      {Points: []imageio.Point{{X: 740, Y: 2670}, {X: 930, Y: 2650}, {X: 930, Y: 2725}, {X: 830, Y: 2710}}},
	} {
		r, err := readBy(t.Context(), p, outline, atItsWord{}, Options{Name: name})
		require.NoError(t, err)
		lch := r.Mean.LCh()
		t.Logf("%-20s %v  hue %.0f°  ± %.2f sampling, %d pixels, %+v %v", name, r.Mean, lch.H, r.Sampling, r.Pixels, r.Dropped, r.Warnings)
		require.True(t, 35 <= lch.L && lch.L <= 85, "%s: %v", name, r.Mean)
		require.True(t, 50 <= lch.H && lch.H <= 90, "%s: hue %.0f°", name, lch.H)
	}
}
