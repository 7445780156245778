package imageio_test

import (
	"image"
	"image/color"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/imageio/internal/imagetest"
)

// Brightness is the mean code of a grey picture, by whichever way its codes are stored, and never reads what is left over at its ends.
func TestBrightness(t *testing.T) {
	img := image.NewNRGBA(image.Rect(0, 0, 7, 5))
	for i := range 35 {
		v := uint8(20 + 5*i)
		img.SetNRGBA(i%7, i/7, color.NRGBA{v, v, v, 255})
	}
	p, err := imageio.Decode(t.Context(), imagetest.PNGOf(t, img), "grey.png")
	require.NoError(t, err)
	for k := 1; k <= 3; k++ {
		wide, high, codes, err := p.Brightness(t.Context(), k)
		require.NoError(t, err)
		require.Equal(t, []int{7 / k, 5 / k, (7 / k) * (5 / k)}, []int{wide, high, len(codes)})
		for i, code := range codes {
			// The mean of a picture that rises evenly is the code of its middle.
			middle := 20 + 5*(float64(i/wide*k)+float64(k-1)/2)*7 + 5*(float64(i%wide*k)+float64(k-1)/2)
			require.InDelta(t, middle, float64(code), 0.51, "k %d, place %d", k, i)
		}
	}
}

// A JPEG's brightness is about that of its colours, upright.
func TestBrightnessOfJPEG(t *testing.T) {
	p, err := imageio.Open(t.Context(), imagetest.PhonePhoto(t))
	require.NoError(t, err)
	const k = 8
	wide, _, codes, err := p.Brightness(t.Context(), k)
	require.NoError(t, err)
	rgba := make([]uint8, 4*p.Width)
	for _, at := range [][2]int{{3, 4}, {wide / 2, 30}, {wide - 1, 11}} {
		want := 0.0
		for y := range k {
			if !p.ScreenRow(at[1]*k+y, rgba) {
				for x := range p.Width {
					c := p.Linear(x, at[1]*k+y).Encode()
					rgba[4*x], rgba[4*x+1], rgba[4*x+2] = c.R, c.G, c.B
				}
			}
			for x := range k {
				px := rgba[4*(at[0]*k+x):]
				want += (0.299*float64(px[0]) + 0.587*float64(px[1]) + 0.114*float64(px[2])) / (k * k)
			}
		}
		require.InDelta(t, want, float64(codes[at[1]*wide+at[0]]), 8, "%v", at)
	}
}
