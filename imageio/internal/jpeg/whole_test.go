package jpeg

import (
	"bytes"
	"context"
	"image"
	standard "image/jpeg"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/fixture"
)

// requireEqual holds every code of a picture to that of the standard library's decoder.
func requireEqual(t *testing.T, want image.Image, p *Picture, name string) {
	t.Helper()
	v := p.View(0)
	require.Equal(t, want.Bounds(), p.Bounds(), name)
	for y := range v.Height {
		for x := range v.Width {
			luma, blue, red := v.YCC(x, y)
			var l, b, r uint8 = 0, Neutral, Neutral
			switch img := want.(type) {
			case *image.Gray:
				l = img.Pix[img.PixOffset(x, y)]
			case *image.YCbCr:
				at := img.COffset(x, y)
				l, b, r = img.Y[img.YOffset(x, y)], img.Cb[at], img.Cr[at]
			default:
				t.Fatalf("%s: %T", name, want)
			}
			if luma != l || blue != b || red != r {
				t.Fatalf("%s: at %d, %d: %d %d %d, the standard library has %d %d %d", name, x, y, luma, blue, red, l, b, r)
			}
		}
	}
}

// Every photograph beside the checkout has the codes that the standard library gives it.
func TestPhotographsAreAsTheStandardLibraryHasThem(t *testing.T) {
	taken, left := 0, 0
	for _, pattern := range []string{"charts/*/*.jpg", "formats/*/*.jpg", "wood/*/*.jpg"} {
		for _, path := range fixture.NeedShared(t, pattern) {
			file, err := os.ReadFile(path)
			require.NoError(t, err)
			if config, err := standard.DecodeConfig(bytes.NewReader(file)); err == nil && config.Width*config.Height > 30e6 {
				continue // a minute of comparing
			}
			p, err := Open(context.Background(), file)
			if err != nil {
				require.ErrorIs(t, err, ErrOther)
				t.Logf("%s is left", filepath.Base(path))
				left++
				continue
			}
			want, err := standard.Decode(bytes.NewReader(file))
			require.NoError(t, err, path)
			requireEqual(t, want, p, path)
			taken++
		}
	}
	t.Logf("%d taken, %d left to the standard library", taken, left)
	require.GreaterOrEqual(t, taken, 30)
}
