package icc

import (
	"testing"

	"github.com/lucasb-eyer/go-colorful"
	"github.com/stretchr/testify/require"
)

// The curve of sRGB is that of go-colorful, which rounds the place where its line ends.
func TestDecodeSRGBAgreesWithGoColorful(t *testing.T) {
	for code := range 256 {
		v := float64(code) / 255
		want, _, _ := colorful.Color{R: v}.LinearRgb()
		require.InDelta(t, want, DecodeSRGB(v), 1e-6, "code %d", code)
	}
}
