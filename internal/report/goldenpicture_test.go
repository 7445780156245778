package report_test

import (
	"bytes"
	"image"
	"image/png"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend/plan"
	"huewright/imageio"
	"huewright/internal/piece"
	"huewright/internal/report/picture"
	"huewright/internal/workshop"
)

// pictures are those that a writer draws, by the name of their golden.
func pictures() map[string]image.Image {
	before, after := drawn(ash, sapele), drawn(ashWashed[2], sapele)
	high := image.Rect(40, 0, 200, 180)
	type cut interface {
		SubImage(image.Rectangle) image.Image
	}
	shown := []workshop.Shown{
		{Area: "frame", Lab: ash}, {Area: "frame", Coats: washes(1, 1, 1), Lab: ashWashed[0]},
		{Area: "frame", Coats: append(washes(1, 1, 1), plan.CoatCount{Coating: "amber glaze", Count: 1}), Lab: ashWashed[1]},
	}
	large := image.NewNRGBA(image.Rect(0, 0, 480, 360)) // wider than a tile
	return map[string]image.Image{
		"pair-wide": picture.Pair(before, after),
		"pair-high": picture.Pair(before.(cut).SubImage(high), after.(cut).SubImage(high)),
		"marked":    picture.Marked(before, 5000, markedRequest()),
		"strip":     picture.Strip([]image.Image{before, drawn(ashWashed[0], sapele), large}, shown, 1),
	}
}

// markedRequest has an area that is large, one that is too small for its name, and a grey card.
func markedRequest() workshop.MeasureRequest {
	card := imageio.Rect(4000, 3000, 700, 400)
	return workshop.MeasureRequest{
		Areas: []workshop.AreaOutline{
			{Name: "frame", Outline: imageio.Rect(300, 400, 1500, 2200)},
			{Name: "filled corner", Outline: imageio.Outline{Points: []imageio.Point{{X: 3000, Y: 60}, {X: 3200, Y: 60}, {X: 3100, Y: 300}}}},
		},
		Reference: piece.Reference{Grey: &card},
	}
}

// TestPictureGoldens holds pictures with captions against those that somebody last looked at. A level of 2
// in 255 is left to the rounding of a platform.
func TestPictureGoldens(t *testing.T) {
	for name, got := range pictures() {
		path := "testdata/" + name + ".png.golden"
		if *update {
			var out bytes.Buffer
			require.NoError(t, png.Encode(&out, got))
			require.NoError(t, os.WriteFile(path, out.Bytes(), 0o644))
		}
		data, err := os.ReadFile(path)
		require.NoError(t, err, "make it with -update, and look at it")
		want, err := png.Decode(bytes.NewReader(data))
		require.NoError(t, err)
		require.Equal(t, want.Bounds(), got.Bounds(), name)
		b := want.Bounds()
		for y := b.Min.Y; y < b.Max.Y; y++ {
			for x := b.Min.X; x < b.Max.X; x++ {
				r, g, bl, a := want.At(x, y).RGBA()
				r2, g2, b2, a2 := got.At(x, y).RGBA()
				for i, v := range []uint32{r, g, bl, a} {
					require.InDelta(t, v>>8, []uint32{r2, g2, b2, a2}[i]>>8, 2, "%s at %d,%d", name, x, y)
				}
			}
		}
	}
}
