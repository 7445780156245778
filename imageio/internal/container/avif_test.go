package container

import (
	"hash/fnv"
	"image"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/fixture"
)

// A real photo in AVIF: the decoder in the program is used even where the host has one of its
// own. The number was the same with the build tag nodynamic, which leaves the loader out, and
// with Debian's libavif 0.11.1 in the loader's way; but that one the package turns down by
// itself, as too old, and a newer one was not at hand.
func TestAVIFPixelsAreTheSameOnEveryHost(t *testing.T) {
	require.False(t, avifDynamic)
	data, err := os.ReadFile(fixture.NeedShared(t, "formats/heif/example.avif")[0])
	require.NoError(t, err)
	img, err := decodeAVIF(t.Context(), data)
	require.NoError(t, err)
	hash := fnv.New64a()
	hash.Write(img.(*image.RGBA).Pix)
	require.Equal(t, uint64(0x9a031fa34c7e1639), hash.Sum64())
}
