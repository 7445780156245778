package imageio_test

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/imageio/internal/imagetest"
)

// A smaller picture shows at each place what the whole one does, and of a JPEG no more is decoded than it needs.
func TestSmallerImage(t *testing.T) {
	img := image.NewNRGBA(image.Rect(0, 0, 1603, 1204))
	for y := range 1204 {
		for x := range 1603 {
			img.SetNRGBA(x, y, color.NRGBA{uint8(40 + x/10), uint8(30 + y/8), uint8(200 - x/16), 255})
		}
	}
	var file bytes.Buffer
	require.NoError(t, jpeg.Encode(&file, img, &jpeg.Options{Quality: 98}))
	for least, cell := range map[int]int{1700: 1, 1000: 1, 700: 2, 390: 4, 190: 8, 10: 8} {
		p, err := imageio.Decode(t.Context(), file.Bytes(), "photo.jpg")
		require.NoError(t, err)
		before := imagetest.Allocated()
		small, whole := p.AsSmallerImage(least), p.AsImage()
		require.Equal(t, image.Pt(1603/cell, 1204/cell), small.Bounds().Size())
		for y := 0; y < small.Bounds().Dy(); y += 5 {
			for x := 0; x < small.Bounds().Dx(); x += 5 {
				small.At(x, y)
			}
		}
		if cell == 8 {
			require.Less(t, imagetest.Allocated()-before, uint64(1<<20))
		}
		for _, at := range []image.Point{{}, {37, 21}, {90, 140}, small.Bounds().Max.Sub(image.Pt(1, 1))} {
			got := small.At(at.X, at.Y).(color.NRGBA)
			want := whole.At(cell*at.X+cell/2, cell*at.Y+cell/2).(color.NRGBA)
			for k, v := range [3]uint8{got.R, got.G, got.B} {
				require.InDelta(t, [3]uint8{want.R, want.G, want.B}[k], v, 4, "cell %d at %v", cell, at)
			}
		}
	}
}
