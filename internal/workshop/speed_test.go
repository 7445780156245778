package workshop_test

import (
	"bytes"
	"fmt"
	"image/jpeg"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
	"huewright/internal/workshop"
)

// ofPixels is a drawn cabinet as a phone of so many megapixels takes it, with all its noise. Compressed
// as little as this it has about a quarter of a byte a pixel, as real phones' photos have.
func ofPixels(megapixels int) *bench.Shot {
	size := map[int][2]int{1: {1152, 864}, 3: {2016, 1512}, 12: {4032, 3024}, 48: {8064, 6048}}[megapixels]
	phone := bench.DrawCamera(5, bench.Phone)
	phone.Quality = 96
	return bench.Cabinet(bench.CabinetOptions{Seed: 5}).Shoot(bench.View{Width: size[0], Height: size[1], SamplesPerSide: 1}, phone)
}

// median of what a benchmark took in each of its rounds.
func median(took []float64) float64 {
	slices.Sort(took)
	return took[len(took)/2]
}

// BenchmarkMeasure finds the chart, fits the correction and reads areas, beside a bare decoding of
// the same file, one after the other in each round; the ratio is of the medians.
func BenchmarkMeasure(b *testing.B) {
	read := func(b *testing.B, shot *bench.Shot, names []string) {
		files := inMemory{"front.jpg": string(shot.JPEG)}
		req := workshop.MeasureRequest{Photo: "front.jpg"}
		for _, name := range names {
			req.Areas = append(req.Areas, workshop.AreaOutline{Name: name, Outline: shot.Area(name).Outline})
		}
		var bare, all []float64
		for b.Loop() {
			start := time.Now()
			_, err := jpeg.Decode(bytes.NewReader(shot.JPEG))
			require.NoError(b, err)
			decoded := time.Now()
			result, err := workshop.Measure(b.Context(), files, req)
			require.NoError(b, err)
			require.True(b, result.Calibration.Found)
			bare, all = append(bare, decoded.Sub(start).Seconds()), append(all, time.Since(decoded).Seconds())
		}
		b.ReportMetric(median(all)/median(bare), "×decoding")
		b.ReportMetric(1000*(median(all)-median(bare)), "ms-beyond")
		b.ReportMetric(float64(len(shot.JPEG))/float64(shot.Width*shot.Height), "B/px")
		b.ReportMetric(0, "ns/op")
	}
	for _, megapixels := range []int{1, 3, 12, 48} {
		var shot *bench.Shot
		b.Run(fmt.Sprintf("Megapixels%d", megapixels), func(b *testing.B) {
			if shot == nil {
				shot = ofPixels(megapixels)
			}
			b.ResetTimer()
			read(b, shot, []string{bench.Frame, bench.Panel})
		})
	}
	for _, areas := range []int{1, 10, 100} {
		var shot *bench.Shot
		b.Run(fmt.Sprintf("Areas%d", areas), func(b *testing.B) {
			if shot == nil {
				shot = ofPixels(12)
			}
			names := make([]string, areas)
			for i := range names {
				names[i] = []string{bench.Frame, bench.Panel, bench.FrameTested, bench.PanelTested, bench.Chip}[i%5]
			}
			b.ResetTimer()
			read(b, shot, names)
		})
	}
}
