package container

import (
	"hash/fnv"
	"image"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio/internal/icc"
	"huewright/imageio/internal/imagetest"
)

// The decoder in the program is used even where the host has one of its own. The number differs from that of the
// package heic by the first 24 pixels, which it hands out after their memory was given back and written to.
func TestHEICPixelsAreTheSameOnEveryHost(t *testing.T) {
	data, err := os.ReadFile(imagetest.PhonePhoto(t))
	require.NoError(t, err)
	img, err := decodeHEICItem(t.Context(), data, 0, 256<<20)
	require.NoError(t, err)
	picture := img.(*image.YCbCr)
	hash := fnv.New64a()
	for y := range picture.Rect.Dy() {
		hash.Write(picture.Y[y*picture.YStride:][:picture.Rect.Dx()])
	}
	require.Equal(t, uint64(0xf4a0edd76fa5ac86), hash.Sum64())
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
		claim := &icc.Coding{Primaries: 1, Curve: 13, Matrix: 6}
		p := Picture{Image: img, coding: claim, YCC: claim.YCC()}
		p.correctRange()
		require.Equal(t, c.full, len(p.Warnings) == 1, name)
		_, white, _ := p.YCC.RGB(235, 128, 128)
		require.Equal(t, c.full, white == 235, name)
	}
}
