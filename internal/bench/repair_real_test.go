package bench

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"testing"
	"time"

	"github.com/disintegration/imaging"
	"github.com/stretchr/testify/require"

	"huewright/blend/repair"
	"huewright/imageio"
	"huewright/imageio/surround"
	"huewright/internal/figure"
	"huewright/internal/fixture"
)

// Real wood (collection ambientcg, CC0: a sheet of 26 swatches): a piece put back elsewhere in its own
// swatch is seldom called showing, and a piece of another swatch mostly. Run with -v for the figures.
func TestPiecesOfRealWood(t *testing.T) {
	sheet, err := imageio.Open(t.Context(), fixture.Shared("wood/ambientcg/Wood.webp"))
	if err != nil {
		t.Skipf("the shared swatches are not here: %v", err)
	}
	swatches := cutSwatches(sheet)
	own, ownShown, other, otherShown := 0.0, 0.0, 0.0, 0.0
	for i, a := range swatches {
		for k, from := range [][2]int{{4, 6}, {86, 10}, {8, 88}, {88, 84}} {
			if s, ok := transplant(t, a, a, from, 19+2*(k%2)); ok {
				own++
				if s.Seen {
					ownShown++
				}
			}
		}
		for j, b := range swatches {
			if i == j || (i+j)%figure.Draws(12, 3) != 0 {
				continue
			}
			if s, ok := transplant(t, a, b, [2]int{48, 48}, 20); ok && s.Colour >= 4 {
				other++
				if s.Seen {
					otherShown++
				}
			}
		}
	}
	figure.Report(t, "pieces of real wood/own", "%.0f %% of %.0f", 100-100*ownShown/own, own)
	figure.Report(t, "pieces of real wood/another", "%.0f %% of %.0f", 100*otherShown/other, other)
	require.GreaterOrEqual(t, 1-ownShown/own, 0.9)
	figure.AtLeast(t, 0.95, otherShown/other, other)
}

// A swatch is a square of wood in linear light.
type swatch [][3]float64

const swatchSide = 116

func cutSwatches(sheet *imageio.Photo) (all []swatch) {
	for i := range 26 {
		s := make(swatch, swatchSide*swatchSide)
		for k := range s {
			c := sheet.Linear(22+144*(i%7)+k%swatchSide, 22+176*(i/7)+k/swatchSide)
			s[k] = [3]float64{c.R, c.G, c.B}
		}
		all = append(all, s)
	}
	return all
}

// transplant puts a square piece of b, from a place, into the middle of a, and judges it.
func transplant(t *testing.T, a, b swatch, from [2]int, side int) (repair.View, bool) {
	t.Helper()
	const to = 48
	img := image.NewNRGBA64(image.Rect(0, 0, swatchSide, swatchSide))
	code := func(v float64) uint16 {
		if v <= 0.0031308 {
			v = 12.92 * v
		} else {
			v = 1.055*math.Pow(v, 1/2.4) - 0.055
		}
		return uint16(65535 * min(max(v, 0), 1))
	}
	for i, c := range a {
		x, y := i%swatchSide, i/swatchSide
		if x >= to && y >= to && x < to+side && y < to+side {
			c = b[(from[1]+y-to)*swatchSide+from[0]+x-to]
		}
		img.SetNRGBA64(x, y, color.NRGBA64{code(c[0]), code(c[1]), code(c[2]), 65535})
	}
	var buffer bytes.Buffer
	require.NoError(t, png.Encode(&buffer, img))
	p, err := imageio.Decode(t.Context(), buffer.Bytes(), "swatch.png")
	require.NoError(t, err)
	s, err := surround.Read(t.Context(), p, imageio.Rect(to, to, float64(side), float64(side)), nil, surround.Options{})
	if err != nil {
		return repair.View{}, false
	}
	look := lookOf(t, s)
	return look.ViewFrom(0), true
}

// BenchmarkRepair judges a repair in a 12 megapixel photo, from three distances too, and says how
// long that takes over decoding the photo.
func BenchmarkRepair(b *testing.B) {
	drawn, err := jpeg.Decode(bytes.NewReader(HardPiece().JPEG))
	require.NoError(b, err)
	var file bytes.Buffer
	require.NoError(b, jpeg.Encode(&file, imaging.Resize(drawn, 4000, 3000, imaging.Linear), nil))
	var decoding, judging time.Duration
	patches := 0
	for b.Loop() {
		start := time.Now()
		p, err := imageio.Decode(b.Context(), file.Bytes(), "cabinet.jpg")
		require.NoError(b, err)
		decoding += time.Since(start)
		start = time.Now()
		s, err := surround.Read(b.Context(), p, imageio.Rect(1290, 700, 100, 120), nil, surround.Options{})
		require.NoError(b, err)
		look := lookOf(b, s)
		look.ViewFrom(0)
		views, err := s.From(b.Context(), repair.Distances, 0.2)
		require.NoError(b, err)
		for i, far := range views {
			look := lookOf(b, far)
			look.ViewFrom(repair.Distances[i])
		}
		judging += time.Since(start)
		patches = len(look.Patches)
	}
	b.ReportMetric(float64(patches), "patches")
	b.ReportMetric(judging.Seconds()/decoding.Seconds(), "×decoding")
	b.ReportMetric(judging.Seconds()/float64(b.N), "s/repair")
}
