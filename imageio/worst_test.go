package imageio_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/imageio/internal/imagetest"
	"huewright/internal/fault"
	"huewright/internal/figure"
	"huewright/internal/fixture"
)

// What opening the worst picture within the limits may take.
const (
	worstMemory = 600e6 // bytes, all of the process
	worstTime   = 10 * time.Second
	worstEnd    = time.Second // from the end of the context
)

// worstPictures are as large as the limits let them be, by their format, and as much work.
func worstPictures(t *testing.T) map[string][]byte {
	t.Helper()
	pictures := map[string][]byte{
		"JPEG, progressive":        imagetest.BlankJPEG(8400, 8400, 58, false),
		"JPEG, fine":               imagetest.BlankJPEG(5900, 5900, 100, true),
		"PNG, 16 bits":             imagetest.BlankPNG(t, 8100, 8100),
		"TIFF, 16 bits":            imagetest.BlankTIFF(t, 8100, 8100, 16),
		"TIFF, 16 bits, one strip": imagetest.BlankTIFF(t, 4050, 4050, 4050),
		"WebP, lossless":           imagetest.BlankWebP(6400, 6400),
	}
	for name, pattern := range map[string]string{
		"HEIC, 16 megapixels of a phone": "formats/exif/HMD*.heif", "AVIF, a small one": "formats/heif/example.avif",
	} {
		data, err := os.ReadFile(fixture.NeedShared(t, pattern)[0])
		require.NoError(t, err)
		pictures[name] = data
	}
	return pictures
}

const openVariable = "HUEWRIGHT_TEST_OPEN"

// TestOpenInAProcess opens one photo in a process of its own, for TestWorstPictures.
func TestOpenInAProcess(t *testing.T) {
	path, end := os.Getenv(openVariable), 24*time.Hour
	if path == "" {
		t.Skip("runs below TestWorstPictures")
	}
	if ms, err := strconv.Atoi(os.Getenv(openVariable + "_END")); err == nil {
		end = time.Duration(ms) * time.Millisecond
	}
	ctx, cancel := context.WithTimeout(t.Context(), end)
	defer cancel()
	start := time.Now()
	_, err := imageio.Open(ctx, path)
	took := time.Since(start)
	if errors.Is(err, context.DeadlineExceeded) {
		fmt.Printf("ended %d\n", (took - end).Milliseconds())
		return
	}
	require.NoError(t, err)
	status, err := os.ReadFile("/proc/self/status")
	require.NoError(t, err)
	fmt.Printf("opened %d %s\n", took.Milliseconds(), regexp.MustCompile(`VmHWM:\s*(\d+) kB`).FindSubmatch(status)[1])
}

// The worst pictures open in bounded memory and time, each in a process of its own, and let go soon when they are
// not wanted any more.
func TestWorstPictures(t *testing.T) {
	if _, err := os.Stat("/proc/self/status"); err != nil {
		t.Skip("this system does not tell the peak of a process's memory")
	}
	most, slowest, latest := 0.0, 0.0, 0.0
	for name, data := range worstPictures(t) {
		path := filepath.Join(t.TempDir(), "photo")
		require.NoError(t, os.WriteFile(path, data, 0o600))
		open := func(more ...string) string {
			child := exec.Command(os.Args[0], "-test.run=^TestOpenInAProcess$")
			child.Env = append(append(os.Environ(), openVariable+"="+path), more...)
			out, err := child.CombinedOutput()
			require.NoError(t, err, "%s: %s", name, out)
			return string(out)
		}
		var ms, kB, over float64
		out := open()
		_, err := fmt.Sscanf(out, "opened %f %f", &ms, &kB)
		require.NoError(t, err, "%s: %s", name, out)
		out = open(openVariable + fmt.Sprintf("_END=%d", int(ms/2)))
		if _, err := fmt.Sscanf(out, "ended %f", &over); err != nil {
			t.Logf("%s: done before it was ended", name)
		}
		t.Logf("%-32s %8d bytes: %5.0f MB, %6.0f ms, ends within %4.0f ms", name, len(data), kB*1024/1e6, ms, over)
		require.Less(t, kB*1024, worstMemory, name)
		require.Less(t, over, float64(worstEnd.Milliseconds()), name)
		most, slowest, latest = max(most, kB*1024/1e6), max(slowest, ms/1000), max(latest, over/1000)
	}
	if figure.Long() { // as fast only where nothing else runs
		require.Less(t, slowest, worstTime.Seconds())
	}
	figure.Report(t, "worst pictures/memory", "%.0f MB", most)
	figure.Report(t, "worst pictures/time", "%.1f s", slowest)
	figure.Report(t, "worst pictures/ended", "%.1f s", latest)
}

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

// Decoding has an end of its own.
func TestDecodingTakesNoLongerThanItMay(t *testing.T) {
	for name, data := range map[string][]byte{
		"JPEG": imagetest.BlankJPEG(5000, 5000, 58, false), "WebP": imagetest.BlankWebP(6000, 6000),
		"HEIC": readFile(t, imagetest.PhonePhoto(t)),
	} {
		start := time.Now()
		_, err := imageio.DecodeWithin(t.Context(), data, name, imageio.Limits{Seconds: 0.01})
		imagetest.RequireFault(t, err, "photo.too-slow", name)
		require.Less(t, time.Since(start), worstEnd, name)
	}
}

func readFile(t *testing.T, path string) []byte {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return data
}
