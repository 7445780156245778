package jpeg

import (
	"bytes"
	"context"
	standard "image/jpeg"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/fixture"
)

// photograph is the one beside the checkout that is taken by a phone in 8 megapixels.
func photograph(t testing.TB) []byte {
	t.Helper()
	file, err := os.ReadFile(fixture.NeedShared(t, "charts/jarrelscy/IMG_20140613_203438.jpg")[0])
	require.NoError(t, err)
	return file
}

func BenchmarkStandardLibrary(b *testing.B) {
	file := photograph(b)
	for b.Loop() {
		_, err := standard.Decode(bytes.NewReader(file))
		require.NoError(b, err)
	}
}

func BenchmarkOpen(b *testing.B) {
	file := photograph(b)
	for b.Loop() {
		_, err := Open(context.Background(), file)
		require.NoError(b, err)
	}
}

// BenchmarkAll decodes every part at each size, once the picture has been passed over.
func BenchmarkAll(b *testing.B) {
	file := photograph(b)
	for shift, name := range []string{"Full", "Half", "Quarter"} {
		b.Run(name, func(b *testing.B) {
			p, err := Open(context.Background(), file)
			require.NoError(b, err)
			v := p.View(shift)
			for b.Loop() {
				for i := range v.parts {
					v.decode(i)
				}
			}
		})
	}
}

// BenchmarkPixels reads single pixels of parts that are decoded already.
func BenchmarkPixels(b *testing.B) {
	p, err := Open(context.Background(), photograph(b))
	require.NoError(b, err)
	v, sum := p.View(0), 0
	for b.Loop() {
		for y := range 256 {
			for x := range 256 {
				luma, _, _ := v.YCC(x, y)
				sum += int(luma)
			}
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/(256*256), "ns/px")
}
