package imageio

import (
	"bytes"
	"image"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/imageio/internal/imagetest"
)

// A line has the light of its places, however the photo lies in its file and however much smaller it is made.
func TestLines(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 8))
	img := image.NewNRGBA(image.Rect(0, 0, 75, 53))
	for i := range img.Pix {
		img.Pix[i] = uint8(rng.Uint32())
	}
	for x := range 75 * 53 {
		img.Pix[4*x+3] = 0xff
	}
	for name, data := range map[string][]byte{
		"photo.jpg": imagetest.Encoded(t, func(b *bytes.Buffer) error { return jpeg.Encode(b, img, nil) }),
		"photo.png": imagetest.Encoded(t, func(b *bytes.Buffer) error { return png.Encode(b, img) }),
	} {
		p, err := Decode(t.Context(), data, name)
		require.NoError(t, err)
		for number := 1; number <= 8; number++ {
			p.turned.number = number
			p.Width, p.Height = 75, 53
			if p.turned.swapped() {
				p.Width, p.Height = 53, 75
			}
			for _, across := range []int{1, 2, 5, 9} {
				requireLines(t, p, across)
			}
		}
	}
}

func requireLines(t *testing.T, p *Photo, across int) {
	cell, want := p.LinearAbout(across)
	l := p.LinesAbout(across)
	require.Equal(t, cell, l.Cell)
	require.Equal(t, p.turned.swapped(), l.Columns)
	lines, long := p.Height, p.Width
	if l.Columns {
		lines, long = long, lines
	}
	at, got := []int{}, make([]colour.LinearRGB, (long+2)/3)
	for i := 0; i < long; i += 3 {
		at = append(at, i)
	}
	for line := range lines {
		l.Light(line, at, got)
		for i, a := range at {
			x, y := a, line
			if l.Columns {
				x, y = y, x
			}
			require.Equal(t, want(x, y), got[i], "%s as %d, %d across, %d,%d", p.Path, p.turned.number, across, x, y)
		}
	}
}
