package imagetest

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"os"
	"testing"

	"huewright/internal/fixture"

	"github.com/stretchr/testify/require"
	"golang.org/x/image/tiff"
)

// Small is a picture of 24 × 16 pixels, one colour.
func Small() *image.NRGBA {
	img := image.NewRGBA(image.Rect(0, 0, 24, 16))
	for y := range 16 {
		for x := range 24 {
			img.SetRGBA(x, y, color.RGBA{138, 90, 60, 255})
		}
	}
	return &image.NRGBA{Pix: img.Pix, Stride: img.Stride, Rect: img.Rect}
}

// Encoded is the file that encode writes.
func Encoded(t testing.TB, encode func(*bytes.Buffer) error) []byte {
	t.Helper()
	var file bytes.Buffer
	require.NoError(t, encode(&file))
	return file.Bytes()
}

func SmallPNG(t testing.TB) []byte {
	return Encoded(t, func(b *bytes.Buffer) error { return png.Encode(b, Small()) })
}

func SmallJPEG(t testing.TB) []byte {
	return Encoded(t, func(b *bytes.Buffer) error { return jpeg.Encode(b, Small(), nil) })
}

func SmallTIFF(t testing.TB) []byte {
	return Encoded(t, func(b *bytes.Buffer) error { return tiff.Encode(b, Small(), nil) })
}

// TinyTIFF is a little-endian TIFF of one directory with the given short values.
func TinyTIFF(tags ...[2]uint16) []byte {
	data := []byte("II*\x00\x08\x00\x00\x00")
	data = binary.LittleEndian.AppendUint16(data, uint16(len(tags)))
	for _, tag := range tags {
		data = binary.LittleEndian.AppendUint16(data, tag[0])
		data = binary.LittleEndian.AppendUint16(data, 3)
		data = binary.LittleEndian.AppendUint32(data, 1)
		data = binary.LittleEndian.AppendUint32(data, uint32(tag[1]))
	}
	return append(data, 0, 0, 0, 0)
}

// PNGOf is a picture as a PNG, hardly compressed.
func PNGOf(t testing.TB, img image.Image) []byte {
	t.Helper()
	return Encoded(t, func(b *bytes.Buffer) error { return (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(b, img) })
}

// DrawnFile is a small file in testdata that was drawn for tests.
func DrawnFile(t testing.TB, name string) []byte {
	data, err := os.ReadFile(fixture.Own("testdata", name))
	require.NoError(t, err)
	return data
}

// PhonePhoto is a photo of a kitchen by a phone, stored lying, with Display P3 embedded.
func PhonePhoto(t testing.TB) string {
	t.Helper()
	paths := fixture.NeedShared(t, "formats/exif/i*.HEIC")
	require.Len(t, paths, 1)
	return paths[0]
}
