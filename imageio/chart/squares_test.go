package chart_test

import (
	"image"
	"image/color"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/imageio/internal/imagetest"
)

// squares is a picture full of coloured squares of a pitch, in groups that do not line up with one another.
func squares(t testing.TB, wide, high, pitch, group int) *imageio.Photo {
	t.Helper()
	rng := rand.New(rand.NewPCG(uint64(pitch), uint64(group)))
	img := image.NewNRGBA(image.Rect(0, 0, wide, high))
	for i := range img.Pix {
		img.Pix[i] = 40
		if i%4 == 3 {
			img.Pix[i] = 255
		}
	}
	side := group*pitch + pitch/2
	for gy := 0; gy+side < high; gy += side {
		for gx := 0; gx+side < wide; gx += side {
			for k := range group * group {
				c := color.NRGBA{uint8(rng.IntN(256)), uint8(rng.IntN(256)), uint8(rng.IntN(256)), 255}
				x0, y0 := gx+k%group*pitch, gy+k/group*pitch
				for y := y0; y < y0+pitch*4/5; y++ {
					for x := x0; x < x0+pitch*4/5; x++ {
						img.SetNRGBA(x, y, c)
					}
				}
			}
		}
	}
	photo, err := imageio.Decode(t.Context(), imagetest.PNGOf(t, img), "squares.png")
	require.NoError(t, err)
	return photo
}

// A picture full of coloured squares, hundreds of cards as small as can be, costs no more than a few times what a photo
// of wood does: it cost 25 times as much. Few lattices are judged in full, which is counted and not timed.
func TestManyCardsAreBounded(t *testing.T) {
	p := squares(t, 2000, 1500, 20, 3)
	work, err := chart.Judged(t.Context(), p, 1)
	require.NoError(t, err)
	require.Greater(t, work.Lattices, 100)
	require.LessOrEqual(t, work.Judged, 12)
}

// BenchmarkFindAmongSquares looks for a chart in a picture of a thousand cards of coloured squares, in turn with a real photo that shows
// none. The photo is of many coloured things, and costs more than most.
func BenchmarkFindAmongSquares(b *testing.B) {
	cards := squares(b, 4000, 3000, 20, 3)
	photo, err := imageio.Open(b.Context(), imagetest.PhonePhoto(b))
	require.NoError(b, err)
	find := func(p *imageio.Photo) float64 {
		start := time.Now()
		_, err := chart.Find(b.Context(), p, chart.Search{})
		require.Error(b, err)
		return time.Since(start).Seconds()
	}
	var ofCards, ofPhoto float64
	for b.Loop() {
		ofCards, ofPhoto = ofCards+find(cards), ofPhoto+find(photo)
	}
	b.ReportMetric(1000*ofCards/float64(b.N), "ms")
	b.ReportMetric(ofCards/ofPhoto, "×a-photo")
}
