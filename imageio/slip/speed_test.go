package slip_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/imageio/internal/imagetest"
	"huewright/imageio/slip"
)

// Looking through 12 megapixels is to take at most 0.4 of the time that decoding them does.
func BenchmarkFind(b *testing.B) {
	data := imagetest.TwelveMegapixels()
	p, err := imageio.Decode(b.Context(), data, "wood.jpg")
	require.NoError(b, err)
	decoding := imagetest.DecodingTime(b, data)
	fastest := time.Duration(math.MaxInt64)
	for b.Loop() {
		start := time.Now()
		_, err := slip.Find(b.Context(), p)
		require.NoError(b, err)
		fastest = min(fastest, time.Since(start))
	}
	b.ReportMetric(fastest.Seconds()/decoding.Seconds(), "×decoding")
	b.ReportMetric(12.2*float64(b.N)/b.Elapsed().Seconds(), "Mpx/s")
}
