package sample

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/imageio/internal/imagetest"
)

func BenchmarkSample(b *testing.B) {
	p, err := imageio.Decode(b.Context(), imagetest.TwelveMegapixels(), "wood.jpg")
	require.NoError(b, err)
	for b.Loop() {
		_, err := readBy(b.Context(), p, imageio.Rect(300, 400, 1600, 1300), atItsWord{}, Options{})
		require.NoError(b, err)
	}
}
