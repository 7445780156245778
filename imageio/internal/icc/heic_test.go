package icc

import (
	"image/color"
	"testing"

	"github.com/stretchr/testify/require"
)

// Narrow and full range, BT.601 and BT.709: codes worked out by hand from ITU-T H.273,
// equations 29–34 and 38–40, for white, black and pure red.
func TestYCCRules(t *testing.T) {
	for _, c := range []struct {
		rule      *YCCRule
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
		r, g, b := c.rule.RGB(c.y, c.cb, c.cr)
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
				ours[0], ours[1], ours[2] = JFIFRule.RGB(uint8(y), uint8(cb), uint8(cr))
				for i, v := range []uint8{r, g, b} {
					require.InDelta(t, v, ours[i], 1)
				}
			}
		}
	}
}
