package surround_test

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/imageio/internal/imagetest"
	"huewright/imageio/surround"
	"huewright/internal/fault"
)

// The contrast sensitivity against the function as published: Mannos and Sakrison (1974), A(f) =
// 2.6 (0.0192 + 0.114 f) exp(−(0.114 f)^1.1). The values are that formula's at five frequencies in cycles
// per degree, worked out by another program (Python); below the peak ours stays at 1.
func TestSensitivityMannosSakrison(t *testing.T) {
	const peak = 0.9809
	for f, a := range map[float64]float64{8: 0.9808, 12: 0.8792, 16: 0.6908, 24: 0.3476, 32: 0.1500} {
		require.InDelta(t, a/peak, surround.ContrastSensitivity(f), 1e-3, "%v cycles per degree", f)
	}
	require.InDelta(t, 1, surround.ContrastSensitivity(2), 1e-12)
	require.Less(t, surround.ChromaticSensitivity(8), surround.ContrastSensitivity(8), "hues are lost sooner than light")
	require.InDelta(t, 1, surround.ChromaticSensitivity(0), 1e-12)
}

// picture is a photo of any function of place, at 16 bits.
func picture(t testing.TB, side int, grey func(x, y int) float64) *imageio.Photo {
	img := image.NewNRGBA64(image.Rect(0, 0, side, side))
	for y := range side {
		for x := range side {
			v := uint16(65535 * grey(x, y))
			img.SetNRGBA64(x, y, color.NRGBA64{v, v, v, 65535})
		}
	}
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, img))
	p, err := imageio.Decode(t.Context(), b.Bytes(), "drawn.png")
	require.NoError(t, err)
	return p
}

func square(x, y, side float64) imageio.Outline { return imageio.Rect(x, y, side, side) }

// The grain's direction is told to a degree where it is plain.
func TestGrainDirection(t *testing.T) {
	for _, along := range []float64{0, 20, 45, 70, 90, 135, 160} {
		sin, cos := math.Sincos(along * math.Pi / 180)
		p := picture(t, 300, func(x, y int) float64 {
			across := -sin*float64(x) + cos*float64(y)
			return 0.5 + 0.06*math.Sin(across/2.3) + 0.04*math.Sin(across/5.1)
		})
		s, err := surround.Read(t.Context(), p, square(130, 130, 40), nil, surround.Options{})
		require.NoError(t, err)
		repair, err := s.Repair(t.Context())
		require.NoError(t, err)
		got := repair.Ring
		require.InDelta(t, 0, math.Remainder(got.Along-along, 180), 1, "%v°", along)
		require.Greater(t, got.Coherence, 0.8)
	}
}

func TestSurroundRefuses(t *testing.T) {
	p := picture(t, 300, func(x, y int) float64 { return 0.5 + 0.05*math.Sin(float64(x)/3) })
	bright := picture(t, 300, func(x, y int) float64 {
		if x > 120 && x < 180 && y > 120 && y < 180 {
			return 1
		}
		return 0.5 + 0.05*math.Sin(float64(x)/3)
	})
	all := square(10, 10, 280)
	for code, c := range map[fault.Code]struct {
		photo  *imageio.Photo
		repair imageio.Outline
		opt    surround.Options
	}{
		"outline.outside":    {p, square(280, 280, 60), surround.Options{}},
		"repair.little-wood": {p, square(95, 95, 110), surround.Options{}},
		"repair.excluded":    {p, square(130, 130, 40), surround.Options{Exclude: []imageio.Outline{square(150, 150, 40)}}},
		"repair.all-glare":   {bright, square(130, 130, 40), surround.Options{}},
		"area.few-pixels":    {p, square(130, 130, 10), surround.Options{}},
		"repair.wood-elsewhere": {
			p, square(130, 130, 40), surround.Options{Wood: &imageio.Outline{Points: square(130, 130, 40).Points}},
		},
	} {
		_, err := surround.Read(t.Context(), c.photo, c.repair, nil, c.opt)
		imagetest.RequireFault(t, err, code)
	}
	_, err := surround.Read(t.Context(), p, square(130, 130, 40), nil, surround.Options{Wood: &all})
	require.NoError(t, err)
}
