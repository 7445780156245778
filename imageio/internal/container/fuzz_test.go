package container

import (
	"math"
	"testing"

	"github.com/bep/imagemeta"
	"github.com/stretchr/testify/require"

	"huewright/imageio/internal/imagetest"
	"huewright/imageio/internal/tiffdir"
	"huewright/internal/fault"
)

// FuzzShootingFacts holds that EXIF, however damaged, gives facts within their ranges.
func FuzzShootingFacts(f *testing.F) {
	f.Add(imagetest.TinyTIFF([2]uint16{274, 6}, [2]uint16{34850, 2}))
	f.Add([]byte("MM\x00*\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00\x08\x00\x00\x00\x00\x00\x00"))
	f.Fuzz(func(t *testing.T, block []byte) {
		if len(block) > imagetest.FuzzedFile {
			return // longer files find no more
		}
		for _, in := range []imagemeta.ImageFormat{imagemeta.TIFF, imagemeta.HEIF} {
			var facts exifFacts
			imagetest.Bounded(t, func() { facts, _ = readFacts(block, in) })
			require.True(t, 0 <= facts.orientation && facts.orientation <= 8, "%d", facts.orientation)
			for _, v := range []float64{facts.Exposure, facts.Aperture, facts.FocalLength, float64(facts.ISO)} {
				require.True(t, v >= 0 && v <= math.MaxFloat64, "%v", v)
			}
			facts.Warnings()
		}
	})
}

// What surrounds the pixels is read without the decoders, which are slow.
func FuzzEnvelope(f *testing.F) {
	for _, data := range [][]byte{
		imagetest.SmallPNG(f), imagetest.SmallJPEG(f), imagetest.SmallTIFF(f), imagetest.TinyTIFF([2]uint16{tiffdir.SubDirectories, 8}),
		imagetest.DrawnFile(f, "heic/four-fields.heic"),
		imagetest.DrawnFile(f, "avif/four-fields-turned.avif"), imagetest.DrawnFile(f, "webp/four-fields.webp"),
	} {
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		_, wrong := sniff(data)
		for _, f := range []*fault.Fault{
			wrong,
			readHEIF(data, &Picture{Format: formatHEIC}), readHEIF(data, &Picture{Format: formatAVIF}),
			readTIFF(data, &Picture{}), readWebP(data, &Picture{}),
		} {
			require.True(t, f == nil || f.Kind == fault.Photo)
		}
		readJPEG(data, &Picture{})
		imagetest.Bounded(t, func() { readPNG(data, &Picture{}) })
		if items, err := readItems(data); err == nil {
			for _, property := range items.properties() {
				hevcColours(property.body)
			}
		}
	})
}
