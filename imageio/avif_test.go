package imageio

import (
	"bytes"
	"image"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/imageio/internal/imagetest"
)

// The four fields of the pictures in testdata/avif, row by row.
var fourFields = map[byte]colour.RGB8{
	'r': {R: 200, G: 60, B: 50}, 'g': {R: 60, G: 160, B: 70},
	'b': {R: 50, G: 70, B: 170}, 't': {R: 190, G: 150, B: 110},
}

// Quarter turns and mirrors in the words of ISO/IEC 23008-12, 6.5.10 and 6.5.12. The pictures
// of heif-convert (libheif 1.15.1) of the same files lie the same way.
func TestAVIFStandsUpright(t *testing.T) {
	original := imagetest.DrawnFile(t, "avif/four-fields-turned.avif")
	turn := func(f string) string { // a quarter anticlockwise: the right column becomes the top row
		return string([]byte{f[1], f[3], f[0], f[2]})
	}
	mirrors := map[byte]func(string) string{
		0: func(f string) string { return f[2:] + f[:2] }, // top and bottom exchanged
		1: func(f string) string { return string([]byte{f[1], f[0], f[3], f[2]}) },
	}
	for turns := range byte(4) {
		for mode, mirror := range mirrors {
			data := bytes.Clone(original)
			data[bytes.Index(data, []byte("irot"))+4] = turns
			data[bytes.Index(data, []byte("imir"))+4] = mode
			p, err := Decode(t.Context(), data, "four.avif")
			require.NoError(t, err)
			require.Equal(t, "AVIF", p.Format)
			want := "rgbt"
			for range turns {
				want = turn(want)
			}
			want = mirror(want)
			for i, name := range []byte(want) {
				x, y := p.Width*(1+2*(i%2))/4, p.Height*(1+2*(i/2))/4
				d := colour.DeltaE2000(fourFields[name].Linear().Lab(), p.Linear(x, y).Lab())
				require.Less(t, d, 2.0, "%d turns, mirror %d, field %d", turns, mode, i)
			}
		}
	}
}

// Ten bits, narrow range, BT.709 weights and Display P3 primaries, all in one.
func TestAVIFOfTenBits(t *testing.T) {
	p, err := Decode(t.Context(), imagetest.DrawnFile(t, "avif/four-fields-10-bit-p3-narrow.avif"), "four.avif")
	require.NoError(t, err)
	require.Equal(t, "Display P3", p.Profile)
	require.Equal(t, 16, p.pixels.bits)
	// Light of Display P3 as that of sRGB, from memory of CSS Color 4, section 10.
	displayP3 := colour.Matrix{{1.22494, -0.22494, 0}, {-0.04206, 1.04206, 0}, {-0.01964, -0.07864, 1.09827}}
	for name, at := range map[byte]image.Point{'r': {12, 8}, 'g': {36, 8}, 'b': {12, 24}, 't': {36, 24}} {
		c := fourFields[name].Linear()
		light := displayP3.Apply(colour.XYZ{X: c.R, Y: c.G, Z: c.B})
		want := colour.LinearRGB{R: light.X, G: light.Y, B: light.Z}
		require.Less(t, colour.DeltaE2000(want.Lab(), p.Linear(at.X, at.Y).Lab()), 1.0, "%c", name)
	}
}

// What is in high dynamic range is refused, whichever way it is packed: the curves 16 (PQ) and 18 (HLG)
// of ITU-T H.273, table 3.
func TestAVIFInHighRange(t *testing.T) {
	data := imagetest.DrawnFile(t, "avif/four-fields-10-bit-p3-narrow.avif")
	for _, curve := range []byte{16, 18} {
		data[bytes.Index(data, []byte("nclx"))+7] = curve
		_, err := Decode(t.Context(), data, "four.avif")
		imagetest.RequireFault(t, err, "photo.high-range")
	}
}
