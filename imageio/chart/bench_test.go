package chart

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/internal/imagetest"
	"huewright/imageio/sample"
)

// chartSamples is a chart as a camera that is off in gain and curve would record it.
func chartSamples() []camera.Sample {
	patches := camera.Chart24(camera.Since2014)
	samples := make([]camera.Sample, len(patches))
	for i, patch := range patches {
		c := patch.Lab.LinearRGB()
		bent := func(v, gain float64) float64 { return gain * math.Pow(max(v, 0.001), 1.05) }
		recorded := colour.LinearRGB{R: bent(c.R, 0.9), G: bent(c.G, 1), B: bent(c.B, 0.8)}
		samples[i] = camera.Sample{Name: patch.Name, Want: patch.Lab, Camera: recorded}
	}
	return samples
}

// Fitting a chart and reading two areas of two megapixels each cost little beside decoding:
// all together at most 1.6 times that.
func BenchmarkChartAndTwoAreas(b *testing.B) {
	data, samples := imagetest.TwelveMegapixels(), chartSamples()
	areas := []imageio.Outline{
		imageio.Rect(300, 400, 1600, 1300),
		{Points: []imageio.Point{{X: 2200, Y: 300}, {X: 3900, Y: 420}, {X: 3800, Y: 2100}, {X: 2100, Y: 1800}}},
	}
	decoding := imagetest.DecodingTime(b, data)
	for b.Loop() {
		p, err := imageio.Decode(b.Context(), data, "wood.jpg")
		require.NoError(b, err)
		correction, _, err := camera.Fit(samples)
		require.NoError(b, err)
		for _, area := range areas {
			_, err := sample.Read(b.Context(), p, area, correction, sample.Options{})
			require.NoError(b, err)
		}
	}
	b.ReportMetric(b.Elapsed().Seconds()/float64(b.N)/decoding.Seconds(), "×decoding")
	b.ReportMetric(12.2*float64(b.N)/b.Elapsed().Seconds(), "Mpx/s")
}

// Looking for a chart in a photo that has none is the slow case: it is searched twice.
func BenchmarkFindNoChart(b *testing.B) {
	p, err := imageio.Decode(b.Context(), imagetest.TwelveMegapixels(), "wood.jpg")
	require.NoError(b, err)
	for b.Loop() {
		_, err := Find(b.Context(), p, Search{})
		require.Error(b, err)
	}
	b.ReportMetric(12.2*float64(b.N)/b.Elapsed().Seconds(), "Mpx/s")
}
