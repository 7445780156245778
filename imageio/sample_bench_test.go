package imageio

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func BenchmarkSample(b *testing.B) {
	p, err := Decode(b.Context(), twelveMegapixels(), "wood.jpg")
	require.NoError(b, err)
	for b.Loop() {
		_, err := p.sample(b.Context(), Rect(300, 400, 1600, 1300), atItsWord{}, SampleOptions{})
		require.NoError(b, err)
	}
}
