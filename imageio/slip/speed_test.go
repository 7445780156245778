package slip_test

import (
	"bytes"
	"image/jpeg"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/imageio/internal/imagetest"
	"huewright/imageio/slip"
)

// Looking through 12 megapixels takes at most 0.4 of the time that decoding them does.
func BenchmarkFind(b *testing.B) {
	data := imagetest.TwelveMegapixels()
	p, err := imageio.Decode(b.Context(), data, "wood.jpg")
	require.NoError(b, err)
	decoding := time.Duration(1 << 62)
	for range 5 {
		start := time.Now()
		_, err := jpeg.Decode(bytes.NewReader(data))
		require.NoError(b, err)
		decoding = min(decoding, time.Since(start))
	}
	fastest := time.Duration(1 << 62)
	for b.Loop() {
		start := time.Now()
		_, err := slip.Find(b.Context(), p)
		require.NoError(b, err)
		fastest = min(fastest, time.Since(start))
	}
	b.ReportMetric(fastest.Seconds()/decoding.Seconds(), "×decoding")
	b.ReportMetric(12.2*float64(b.N)/b.Elapsed().Seconds(), "Mpx/s")
}
