package imagetest

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/fixture"
)

// PhonePhoto is a photo of a kitchen by a phone, stored lying, with Display P3 embedded.
func PhonePhoto(t testing.TB) string {
	t.Helper()
	paths := fixture.NeedShared(t, "formats/exif/i*.HEIC")
	require.Len(t, paths, 1)
	return paths[0]
}
