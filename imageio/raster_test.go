package imageio

import (
	"image"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio/internal/icc"
)

// A whole row is what its pixels are one by one, however sparse the colours are stored, also in a part of
// a picture that begins in the middle of a colour.
func TestRowsAreTheirPixels(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 2))
	for _, ratio := range []image.YCbCrSubsampleRatio{
		image.YCbCrSubsampleRatio444, image.YCbCrSubsampleRatio422, image.YCbCrSubsampleRatio420,
		image.YCbCrSubsampleRatio440, image.YCbCrSubsampleRatio411, image.YCbCrSubsampleRatio410,
	} {
		whole := image.NewYCbCr(image.Rect(0, 0, 37, 23), ratio)
		for _, plane := range [][]uint8{whole.Y, whole.Cb, whole.Cr} {
			for i := range plane {
				plane[i] = uint8(rng.Uint32())
			}
		}
		for _, img := range []image.Image{whole, whole.SubImage(image.Rect(3, 5, 34, 20))} {
			r, err := newRaster(img, icc.JFIFRule)
			require.NoError(t, err)
			row := make([]uint8, 4*r.width)
			for y := range r.height {
				r.row(y, row)
				for x := range r.width {
					red, green, blue := r.code(x, y)
					require.Equal(t, []uint8{uint8(red), uint8(green), uint8(blue), 0xff}, row[4*x:4*x+4], "%v %d,%d", ratio, x, y)
				}
			}
		}
	}
}
