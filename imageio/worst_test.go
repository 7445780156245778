package imageio_test

import (
	"bytes"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/imageio/internal/imagetest"
	"huewright/internal/fault"
)

// What goes beyond is refused before any memory is taken for it.
func TestBeyondTheLimits(t *testing.T) {
	for _, c := range []struct {
		name string
		data []byte
		code fault.Code
	}{
		{"0.7 MB that would take 1.8 GB", imagetest.BlankJPEG(10_950, 10_950, 3, true), "photo.much-memory"},
		{"50 kB that would take 22 s", imagetest.BlankJPEG(2000, 2000, 1000, false), "photo.many-scans"},
		{"few scans of all", imagetest.BlankJPEG(2000, 2000, 190, true), "photo.many-scans"},
		{"deep", imagetest.BlankPNG(t, 9000, 9000), "photo.much-memory"},
		{"one strip", imagetest.BlankTIFF(t, 5000, 5000, 5000), "photo.much-memory"},
		{"one strip of no rows", withoutRows(t, imagetest.BlankTIFF(t, 5000, 5000, 5000)), "photo.much-memory"},
		{"lossless", imagetest.BlankWebP(7000, 7000), "photo.much-memory"},
	} {
		before := imagetest.Allocated()
		_, err := imageio.Decode(t.Context(), c.data, c.name)
		imagetest.RequireFault(t, err, c.code, c.name)
		require.Less(t, imagetest.Allocated()-before, uint64(8<<20), c.name)
	}
}

// withoutRows is a TIFF whose number of rows in a strip is 0, which decoders take for all.
func withoutRows(t *testing.T, data []byte) []byte {
	t.Helper()
	rows := bytes.Index(data, []byte{0x16, 1, 4, 0, 1, 0, 0, 0}) // tag 278, one number of 32 bits
	require.Positive(t, rows)
	copy(data[rows+8:], make([]byte, 4))
	return data
}

// Decoding has an end of its own, long before it would be done.
func TestDecodingTakesNoLongerThanItMay(t *testing.T) {
	for name, data := range map[string][]byte{
		"JPEG": imagetest.BlankJPEG(5000, 5000, 58, false), "WebP": imagetest.BlankWebP(6000, 6000),
		"HEIC": readFile(t, imagetest.PhonePhoto(t)),
	} {
		start := time.Now()
		_, err := imageio.DecodeWithin(t.Context(), data, name, imageio.Limits{})
		require.NoError(t, err, name)
		whole := time.Since(start)
		start = time.Now()
		_, err = imageio.DecodeWithin(t.Context(), data, name, imageio.Limits{Seconds: 0.01})
		imagetest.RequireFault(t, err, "photo.too-slow", name)
		require.Less(t, time.Since(start), whole, name)
	}
}

func readFile(t *testing.T, path string) []byte {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return data
}
