package picture_test

import (
	"image"
	"image/color"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/internal/report/picture"
	"huewright/internal/workshop"
)

// Every part of an outline is drawn, and its holes too.
func TestMarkedDrawsAllParts(t *testing.T) {
	o := imageio.Rect(100, 100, 200, 500)
	whole := o
	whole.More = [][]imageio.Point{imageio.Rect(600, 100, 200, 500).Points}
	whole.Holes = [][]imageio.Point{imageio.Rect(650, 200, 50, 50).Points}
	drawn := func(o imageio.Outline) int {
		photo := image.NewNRGBA(image.Rect(0, 0, 1000, 800))
		marked := picture.Marked(photo, 1000, workshop.MeasureRequest{Areas: []workshop.AreaOutline{{Name: "frame", Outline: o}}})
		white := 0
		for y := range marked.Bounds().Dy() {
			for x := range marked.Bounds().Dx() {
				if marked.At(x, y) == (color.NRGBA{255, 255, 255, 255}) {
					white++
				}
			}
		}
		return white
	}
	require.Greater(t, drawn(whole), drawn(o)+1000)
}
