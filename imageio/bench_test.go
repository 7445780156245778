package imageio

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/colour"
)

// twelveMegapixels is a phone's photo of wood, as JPEG.
var twelveMegapixels = sync.OnceValue(func() []byte {
	const width, height = 4032, 3024
	g := newGrain(11, width, height, 9, 300)
	noise := newGrain(12, 512, 512, 1, 1)
	img := image.NewRGBA(image.Rect(0, 0, width, height))
	for y := range height {
		for x := range width {
			c := oak(g.at(x, y)/2 + noise.at(x%500, y%500)/8).Encode()
			img.SetRGBA(x, y, color.RGBA{c.R, c.G, c.B, 255})
		}
	}
	var file bytes.Buffer
	if err := jpeg.Encode(&file, img, &jpeg.Options{Quality: 92}); err != nil {
		panic(err)
	}
	return file.Bytes()
})

// chartSamples is a chart as a camera that is off in gain and curve would record it.
func chartSamples() []colour.Sample {
	patches := colour.Chart24(colour.Since2014)
	samples := make([]colour.Sample, len(patches))
	for i, patch := range patches {
		c := patch.Lab.LinearRGB()
		bent := func(v, gain float64) float64 { return gain * math.Pow(max(v, 0.001), 1.05) }
		samples[i] = colour.Sample{Name: patch.Name, Want: patch.Lab, Camera: colour.LinearRGB{R: bent(c.R, 0.9), G: bent(c.G, 1), B: bent(c.B, 0.8)}}
	}
	return samples
}

// Fitting a chart and reading two areas of two megapixels each cost little beside decoding:
// all together at most 1.6 times that.
func BenchmarkChartAndTwoAreas(b *testing.B) {
	data, samples := twelveMegapixels(), chartSamples()
	areas := []Outline{
		Rect(300, 400, 1600, 1300),
		{Points: []Point{{2200, 300}, {3900, 420}, {3800, 2100}, {2100, 1800}}},
	}
	decoding := time.Duration(1 << 62)
	for range 3 {
		start := time.Now()
		_, err := jpeg.Decode(bytes.NewReader(data))
		require.NoError(b, err)
		decoding = min(decoding, time.Since(start))
	}
	for b.Loop() {
		p, err := Decode(b.Context(), data, "wood.jpg")
		require.NoError(b, err)
		correction, _, err := colour.FitCamera(samples)
		require.NoError(b, err)
		for _, area := range areas {
			_, err := p.Sample(b.Context(), area, correction, SampleOptions{})
			require.NoError(b, err)
		}
	}
	b.ReportMetric(b.Elapsed().Seconds()/float64(b.N)/decoding.Seconds(), "×decoding")
	b.ReportMetric(12.2*float64(b.N)/b.Elapsed().Seconds(), "Mpx/s")
}

func BenchmarkSample(b *testing.B) {
	p, err := Decode(b.Context(), twelveMegapixels(), "wood.jpg")
	require.NoError(b, err)
	for b.Loop() {
		_, err := p.sample(b.Context(), Rect(300, 400, 1600, 1300), atItsWord{}, SampleOptions{})
		require.NoError(b, err)
	}
}

// Looking for a chart in a photo that has none is the slow case: it is searched twice.
func BenchmarkFindNoChart(b *testing.B) {
	p, err := Decode(b.Context(), twelveMegapixels(), "wood.jpg")
	require.NoError(b, err)
	for b.Loop() {
		_, err := p.FindChart(b.Context(), ChartSearch{})
		require.Error(b, err)
	}
	b.ReportMetric(12.2*float64(b.N)/b.Elapsed().Seconds(), "Mpx/s")
}
