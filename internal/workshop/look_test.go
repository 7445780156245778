package workshop_test

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
	"huewright/internal/fault"
	"huewright/internal/workshop"
)

// A shadow over half of the chart is told as soon as the photo is there.
func TestLookAtAChartInShadow(t *testing.T) {
	shot := bench.Cabinet(bench.CabinetOptions{Seed: 6}).Shoot(bench.View{Width: 1000, Height: 750, SamplesPerSide: 1},
		bench.DrawCamera(6, bench.Mild))
	drawn, err := jpeg.Decode(bytes.NewReader(shot.JPEG))
	require.NoError(t, err)
	middle := (shot.Corners[0].X + shot.Corners[1].X) / 2
	shaded := image.NewRGBA(drawn.Bounds())
	for y := range shot.Height {
		for x := range shot.Width {
			c := color.RGBAModel.Convert(drawn.At(x, y)).(color.RGBA)
			if float64(x) > middle {
				dim := func(v uint8) uint8 { return uint8(2 * int(v) / 3) }
				c.R, c.G, c.B = dim(c.R), dim(c.G), dim(c.B) // of the code: 0.4 of the light
			}
			shaded.SetRGBA(x, y, c)
		}
	}
	var file bytes.Buffer
	require.NoError(t, png.Encode(&file, shaded))
	files := inMemory{"good.jpg": string(shot.JPEG), "shaded.png": file.String()}
	look, err := workshop.LookAt(t.Context(), files, "good.jpg")
	require.NoError(t, err)
	require.NotEmpty(t, look.Chart)
	require.True(t, look.Unfit.Empty(), look.Unfit)
	look, err = workshop.LookAt(t.Context(), files, "shaded.png")
	require.NoError(t, err)
	require.NotEmpty(t, look.Chart)
	require.Equal(t, workshop.Again, look.Unfit.Values["answer"])
	require.Equal(t, fault.Code("verdict.shadow"), look.Unfit.Values["why"].(fault.Note).Code)
}
