package container

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/figure"
	"huewright/internal/fixture"
)

// What the required modules bring, as their own makefiles (lib/Makefile, lib/Makefile.decode) pin it. Look for newer
// ones where this fails.
func TestDecoderVersions(t *testing.T) {
	required, err := os.ReadFile(fixture.Own("go.mod"))
	require.NoError(t, err)
	for _, module := range []string{
		"github.com/gen2brain/heic v0.4.5\n", "github.com/gen2brain/avif v0.4.4\n", "github.com/tetratelabs/wazero v1.12.0\n",
	} {
		require.True(t, strings.Contains(string(required), module), module)
	}
	figure.Report(t, "decoders/heic", "libheif 1.18.2, libde265 1.0.15, in heic v0.4.5 of 22 May 2025")
	figure.Report(t, "decoders/avif", "libavif 1.1.1, libaom 3.10.0, in avif v0.4.4 of 22 May 2025")
}
