package imageio

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/imageio/internal/icc"
	"huewright/internal/fixture"
)

// Two real pictures in L*a*b*: 8 bits, not compressed, whose bytes were read by hand; and 16 bits
// with LZW and differences, as ImageMagick 6.9.11 reads it (%[fx:p{x,y}.r] and so on, with a* and
// b* as 256 v − 128).
func TestLabTIFF(t *testing.T) {
	fixture.NeedShared(t, "formats")
	type pixel struct {
		x, y int
		want colour.Lab
	}
	for file, pixels := range map[string][]pixel{
		"pillow/hopper.Lab.tif": {
			{64, 64, colour.Lab{L: 43.92, A: 42, B: 31}},
			{10, 100, colour.Lab{L: 4.31, A: 0, B: -1}},
			{90, 5, colour.Lab{L: 44.71, A: 1, B: -39}},
		},
		"sharp/cielab-dagams.tiff": {
			{200, 133, colour.Lab{L: 4.916, A: 4.317, B: -14.535}},
			{20, 20, colour.Lab{L: 32.439, A: 10.145, B: -1.652}},
			{350, 250, colour.Lab{L: 28.856, A: -4.148, B: 7.523}},
		},
	} {
		p, err := Open(t.Context(), fixture.Shared("formats", file))
		require.NoError(t, err)
		require.Equal(t, "L*a*b*", p.Profile)
		for _, c := range pixels {
			got := colour.Adaptation(colour.WhiteD65, colour.WhiteD50).Apply(p.Linear(c.x, c.y).XYZ()).LabUnder(colour.WhiteD50)
			require.Less(t, colour.DeltaE2000(c.want, got), 0.05, "%s %d,%d: %v", file, c.x, c.y, got)
			require.False(t, p.Clipped(c.x, c.y), "a negative b* is not burnt out")
		}
	}
}

// The same three numbers in the two ways of keeping them, kinds 8 and 9 of TIFF, in 8 and 16 bits.
func TestLabCodes(t *testing.T) {
	want := colour.Lab{L: 60, A: 20, B: -30}
	for _, c := range []struct {
		kind, bits int
		l, a, b    uint16
	}{
		{8, 8, 153, 20, 256 - 30},
		{9, 8, 153, 148, 98},
		{8, 16, 39321, 20 * 256, 65536 - 30*256},
		{9, 16, 39168, 148 * 256, 98 * 256},
	} {
		r := &raster{bits: c.bits, code: func(int, int) (uint16, uint16, uint16) { return c.l, c.a, c.b }}
		r.asLab(c.kind)
		light := icc.LabTransfer.Convert(r.values(0, 0)).XYZ()
		got := colour.Adaptation(colour.WhiteD65, colour.WhiteD50).Apply(light).LabUnder(colour.WhiteD50)
		require.InDelta(t, want.L, got.L, 0.01)
		require.InDelta(t, want.A, got.A, 0.01)
		require.InDelta(t, want.B, got.B, 0.01)
	}
}
