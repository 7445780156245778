package container

import (
	"hash/fnv"
	"image"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/fixture"
)

// A real photo in AVIF, the same on a host with a libavif of its own and on one without.
func TestAVIFPixelsAreTheSameOnEveryHost(t *testing.T) {
	data, err := os.ReadFile(fixture.NeedShared(t, "formats/heif/example.avif")[0])
	require.NoError(t, err)
	img, err := decodeAVIF(t.Context(), data, 256<<20)
	require.NoError(t, err)
	hash := fnv.New64a()
	hash.Write(img.(*image.RGBA).Pix)
	require.Equal(t, uint64(0x9a031fa34c7e1639), hash.Sum64())
}
