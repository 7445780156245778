package imageio

import (
	"hash/fnv"
	"image"
	"image/color"
	"os"
	"testing"

	"huewright/internal/fixture"

	"github.com/stretchr/testify/require"
)

// phonePhoto is a photo of a kitchen by a phone, stored lying, with Display P3 embedded.
func phonePhoto(t testing.TB) string {
	t.Helper()
	paths := fixture.NeedShared(t, "formats/exif/i*.HEIC")
	require.Len(t, paths, 1)
	return paths[0]
}

// Wood in a real photo measures as wood. The outlines were drawn by eye.
func TestWoodInAPhonePhoto(t *testing.T) {
	p, err := Open(t.Context(), phonePhoto(t))
	require.NoError(t, err)
	require.Equal(t, [2]int{3024, 4032}, [2]int{p.Width, p.Height}, "upright once")
	require.Equal(t, "HEIC", p.Format)
	require.Equal(t, "Display P3", p.Profile)
	require.Len(t, p.Warnings, 1)
	require.Contains(t, p.Warnings[0], "gain map")
	require.Equal(t, 250, p.Facts.ISO)
	require.False(t, p.Facts.Flash)
	require.Equal(t, "auto", p.Facts.WhiteBalance)
	require.InDelta(t, 1.0/60, p.Facts.Exposure, 1e-6)

	for name, outline := range map[string]Outline{
		"cabinet, shaded door": Rect(715, 1950, 130, 290),
		"cabinet, lit door":    Rect(2790, 2050, 90, 240),
		"table":                Rect(100, 3150, 500, 700),
		"chair":                Rect(2480, 2930, 240, 60),
		"floor by the window":  Rect(2480, 2505, 180, 45),
		"floor, pale row":      {Points: []Point{{740, 2670}, {930, 2650}, {930, 2725}, {830, 2710}}},
	} {
		r, err := p.sample(t.Context(), outline, atItsWord{}, SampleOptions{Name: name})
		require.NoError(t, err)
		lch := r.Mean.LCh()
		t.Logf("%-20s %v  hue %.0f°  ± %.2f sampling, %d pixels, %+v %v", name, r.Mean, lch.H, r.Sampling, r.Pixels, r.Dropped, r.Warnings)
		require.True(t, 35 <= lch.L && lch.L <= 85, "%s: %v", name, r.Mean)
		require.True(t, 50 <= lch.H && lch.H <= 90, "%s: hue %.0f°", name, lch.H)
	}
}

// The decoder in the program is used even where the host has one of its own. The number was
// the same with Debian's libheif 1.15.1 in the way of the loader, without it, and with the
// build tag nodynamic, which leaves the loader out.
func TestHEICPixelsAreTheSameOnEveryHost(t *testing.T) {
	require.False(t, heicDynamic)
	data, err := os.ReadFile(phonePhoto(t))
	require.NoError(t, err)
	img, err := decodeHEIC(t.Context(), data)
	require.NoError(t, err)
	picture := img.(*image.YCbCr)
	hash := fnv.New64a()
	for y := range picture.Rect.Dy() {
		hash.Write(picture.Y[y*picture.YStride:][:picture.Rect.Dx()])
	}
	require.Equal(t, uint64(0x6145764a20361951), hash.Sum64())
}

func TestNarrowRangeThatIsNot(t *testing.T) {
	for name, c := range map[string]struct {
		top  uint8 // luma runs from 255 − top to top
		full bool  // afterwards
	}{"fills it": {255, true}, "keeps to it": {235, false}} {
		img := image.NewYCbCr(image.Rect(0, 0, 256, 256), image.YCbCrSubsampleRatio420)
		for i := range img.Y {
			img.Y[i] = 255 - c.top + uint8(i%256*int(2*int(c.top)-255)/255)
		}
		claim := &coding{primaries: 1, curve: 13, matrix: 6}
		file := envelope{coding: claim, ycc: claim.ycc()}
		file.correctRange(img)
		require.Equal(t, c.full, len(file.warnings) == 1, name)
		_, white, _ := file.ycc.rgb(235, 128, 128)
		require.Equal(t, c.full, white == 235, name)
	}
}

// Narrow and full range, BT.601 and BT.709: codes worked out by hand from ITU-T H.273,
// equations 29–34 and 38–40, for white, black and pure red.
func TestYCCRules(t *testing.T) {
	for _, c := range []struct {
		rule      *yccRule
		y, cb, cr uint8
		r, g, b   uint16
	}{
		{newYCCRule(0.299, 0.114, true), 255, 128, 128, 255, 255, 255},
		{newYCCRule(0.299, 0.114, true), 76, 85, 255, 254, 0, 0},
		{newYCCRule(0.299, 0.114, false), 235, 128, 128, 255, 255, 255},
		{newYCCRule(0.299, 0.114, false), 16, 128, 128, 0, 0, 0},
		{newYCCRule(0.299, 0.114, false), 81, 90, 240, 254, 0, 0},
		{newYCCRule(0.2126, 0.0722, false), 63, 102, 240, 255, 0, 0},
	} {
		r, g, b := c.rule.rgb(c.y, c.cb, c.cr)
		require.InDelta(t, c.r, r, 1)
		require.InDelta(t, c.g, g, 1)
		require.InDelta(t, c.b, b, 1)
	}
}

// The full-range rule is that of the standard library, which rounds a little differently.
func TestJFIFRule(t *testing.T) {
	for y := 0; y < 256; y += 3 {
		for cb := 0; cb < 256; cb += 5 {
			for cr := 0; cr < 256; cr += 7 {
				r, g, b := color.YCbCrToRGB(uint8(y), uint8(cb), uint8(cr))
				ours := [3]uint16{}
				ours[0], ours[1], ours[2] = jfifRule.rgb(uint8(y), uint8(cb), uint8(cr))
				for i, v := range []uint8{r, g, b} {
					require.InDelta(t, v, ours[i], 1)
				}
			}
		}
	}
}
