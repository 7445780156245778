package imageio

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio/internal/imagetest"
	"huewright/internal/fault"
)

// fuzzDecode holds that a file of one kind, however damaged, gives a photo or a fault.
func fuzzDecode(f *testing.F, seeds ...[]byte) {
	for _, data := range seeds {
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > imagetest.FuzzedFile {
			return // longer files find no more
		}
		var p *Photo
		var err error
		imagetest.Bounded(t, func() { p, err = Decode(t.Context(), data, "fuzz") })
		if err != nil {
			require.Equal(t, fault.Photo, fault.KindOf(err), "%v", err)
			return
		}
		p.Linear(0, 0)
		p.Linear(p.Width-1, p.Height-1)
		p.Clipped(p.Width/2, p.Height/2)
	})
}

func FuzzDecodeJPEG(f *testing.F) {
	grey := image.NewGray(image.Rect(0, 0, 17, 9))
	for i := range grey.Pix {
		grey.Pix[i] = uint8(i)
	}
	fuzzDecode(f, imagetest.SmallJPEG(f), imagetest.Encoded(f, func(b *bytes.Buffer) error { return jpeg.Encode(b, grey, nil) }))
}

func FuzzDecodePNG(f *testing.F) {
	palette := image.NewPaletted(image.Rect(0, 0, 5, 3), color.Palette{color.Black, color.NRGBA{138, 90, 60, 200}})
	deep := image.NewNRGBA64(image.Rect(0, 0, 5, 3))
	fuzzDecode(f, imagetest.SmallPNG(f), imagetest.PNGOf(f, palette), imagetest.PNGOf(f, deep))
}

func FuzzDecodeTIFF(f *testing.F) {
	fuzzDecode(f, imagetest.SmallTIFF(f), imagetest.TinyTIFF([2]uint16{262, 32803}))
}

func FuzzDecodeWebP(f *testing.F) {
	fuzzDecode(f, imagetest.DrawnFile(f, "webp/four-fields.webp"),
		[]byte("RIFF\x1a\x00\x00\x00WEBPVP8L\x0d\x00\x00\x00\x2f\x00\x00\x00\x10\x07\x10\x11\x11\x88\x88\xfe\x07\x00"))
}

func FuzzDecodeHEIC(f *testing.F) {
	fuzzDecode(f, imagetest.DrawnFile(f, "heic/four-fields.heic"))
}

func FuzzDecodeAVIF(f *testing.F) {
	fuzzDecode(f, imagetest.DrawnFile(f, "avif/four-fields-turned.avif"), imagetest.DrawnFile(f, "avif/four-fields-10-bit-p3-narrow.avif"))
}
