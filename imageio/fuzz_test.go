package imageio

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"os"
	"runtime/metrics"
	"testing"
	"time"

	"huewright/internal/fixture"

	"github.com/bep/imagemeta"
	"github.com/stretchr/testify/require"
)

// What a file of a few kilobytes may take to be read, however it is damaged. The memory is all
// that was asked for on the way, also such as was given back.
const (
	fuzzedMemory = 1 << 30 // bytes
	fuzzedTime   = 20 * time.Second
	fuzzedFile   = 1 << 14 // bytes; longer files find no more, and slower
)

// bounded runs work and holds it to what it may take.
func bounded(t *testing.T, work func()) {
	before, start := allocated(), time.Now()
	work()
	require.Less(t, time.Since(start), fuzzedTime)
	require.Less(t, allocated()-before, uint64(fuzzedMemory))
}

func allocated() uint64 {
	sample := []metrics.Sample{{Name: "/gc/heap/allocs:bytes"}}
	metrics.Read(sample)
	return sample[0].Value.Uint64()
}

// fuzzDecode holds that a file of one kind, however damaged, gives a photo or a fault with
// advice.
func fuzzDecode(f *testing.F, seeds ...[]byte) {
	for _, data := range seeds {
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > fuzzedFile {
			t.Skip("longer files find no more")
		}
		var p *Photo
		var err error
		bounded(t, func() { p, err = Decode(t.Context(), data, "fuzz") })
		if err != nil {
			var fault *PhotoError
			require.ErrorAs(t, err, &fault)
			require.NotEmpty(t, fault.Hint())
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
	fuzzDecode(f, smallJPEG(f), encoded(f, func(b *bytes.Buffer) error { return jpeg.Encode(b, grey, nil) }))
}

func FuzzDecodePNG(f *testing.F) {
	palette := image.NewPaletted(image.Rect(0, 0, 5, 3), color.Palette{color.Black, color.NRGBA{138, 90, 60, 200}})
	deep := image.NewNRGBA64(image.Rect(0, 0, 5, 3))
	fuzzDecode(f, smallPNG(f), pngOf(f, palette), pngOf(f, deep))
}

func FuzzDecodeTIFF(f *testing.F) {
	fuzzDecode(f, smallTIFF(f), tinyTIFF([2]uint16{262, 32803}))
}

func FuzzDecodeWebP(f *testing.F) {
	fuzzDecode(f, drawnFile(f, "webp/four-fields.webp"),
		[]byte("RIFF\x1a\x00\x00\x00WEBPVP8L\x0d\x00\x00\x00\x2f\x00\x00\x00\x10\x07\x10\x11\x11\x88\x88\xfe\x07\x00"))
}

func FuzzDecodeHEIC(f *testing.F) {
	fuzzDecode(f, drawnFile(f, "heic/four-fields.heic"))
}

func FuzzDecodeAVIF(f *testing.F) {
	fuzzDecode(f, drawnFile(f, "avif/four-fields-turned.avif"), drawnFile(f, "avif/four-fields-10-bit-p3-narrow.avif"))
}

// FuzzShootingFacts holds that EXIF, however damaged, gives facts within their ranges.
func FuzzShootingFacts(f *testing.F) {
	f.Add(tinyTIFF([2]uint16{274, 6}, [2]uint16{34850, 2}))
	f.Add([]byte("MM\x00*\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00\x08\x00\x00\x00\x00\x00\x00"))
	f.Fuzz(func(t *testing.T, block []byte) {
		if len(block) > fuzzedFile {
			t.Skip("longer files find no more")
		}
		for _, in := range []imagemeta.ImageFormat{imagemeta.TIFF, imagemeta.HEIF} {
			var facts noted
			bounded(t, func() { facts, _ = readFacts(block, in) })
			require.True(t, 0 <= facts.orientation && facts.orientation <= 8, "%d", facts.orientation)
			for _, v := range []float64{facts.Exposure, facts.Aperture, facts.FocalLength, float64(facts.ISO)} {
				require.True(t, v >= 0 && v <= math.MaxFloat64, "%v", v)
			}
			facts.warnings()
		}
	})
}

// What surrounds the pixels is read without the decoders, which are slow.
func FuzzEnvelope(f *testing.F) {
	for _, data := range [][]byte{
		smallPNG(f), smallJPEG(f), smallTIFF(f), tinyTIFF([2]uint16{tagSubDirs, 8}),
		drawnFile(f, "heic/four-fields.heic"), drawnFile(f, "avif/four-fields-turned.avif"), drawnFile(f, "webp/four-fields.webp"),
	} {
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		_, fault := sniff(data)
		if fault != nil {
			require.NotEmpty(t, fault.Hint())
		}
		readHEIC := func(data []byte, file *envelope) *PhotoError { return readHEIF(formatHEIC, data, file) }
		readAVIF := func(data []byte, file *envelope) *PhotoError { return readHEIF(formatAVIF, data, file) }
		for _, read := range []func([]byte, *envelope) *PhotoError{readHEIC, readAVIF, readTIFF, readJPEG, readWebP} {
			if fault := read(data, &envelope{}); fault != nil {
				require.NotEmpty(t, fault.Problem)
				require.NotEmpty(t, fault.Hint())
			}
		}
		bounded(t, func() { readPNG(data, &envelope{}) })
		if items, err := readItems(data); err == nil {
			for _, property := range items.properties() {
				hevcColours(property.body)
			}
		}
	})
}

func pngOf(t testing.TB, img image.Image) []byte {
	return encoded(t, func(b *bytes.Buffer) error { return png.Encode(b, img) })
}

// drawnFile is a small file in testdata that was drawn for tests.
func drawnFile(t testing.TB, name string) []byte {
	data, err := os.ReadFile(fixture.Own("testdata", name))
	require.NoError(t, err)
	return data
}
