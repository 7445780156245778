package imageio_test

import (
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
	"huewright/internal/figure"
	"huewright/internal/fixture"
)

// What opening the worst picture within the limits may take.
const (
	worstMemory = 600e6 // bytes, all of the process
	worstTime   = 10 * time.Second
	worstEnd    = time.Second // of going on after its context has ended
)

// worstPictures are as large as the limits let them be, by their format, and as much work.
func worstPictures(t *testing.T) map[string][]byte {
	t.Helper()
	pictures := map[string][]byte{
		"JPEG, progressive":        imagetest.BlankJPEG(8400, 8400, 58, false),
		"JPEG, fine":               imagetest.BlankJPEG(5900, 5900, 100, true),
		"JPEG, in parts":           imagetest.BlankInParts(10_800, 10_800, 3, 0),
		"JPEG, grey, in parts":     imagetest.BlankInParts(10_900, 10_900, 1, 0),
		"JPEG, by and by in parts": imagetest.BlankInParts(5900, 5900, 3, 100),
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

// TestMain runs the tests, or, below TestWorstPictures, opens one photo in a process of its own.
func TestMain(m *testing.M) {
	path := os.Getenv(openVariable)
	if path == "" {
		os.Exit(m.Run())
	}
	if err := openAlone(path); err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
}

// openAlone opens a photo and prints how long it took, ms; then it reads all of it, and prints the most memory that this process had, kB.
func openAlone(path string) error {
	end := 24 * time.Hour
	if ms, err := strconv.Atoi(os.Getenv(openVariable + "_END")); err == nil {
		end = time.Duration(ms) * time.Millisecond
	}
	ctx, cancel := context.WithTimeout(context.Background(), end)
	defer cancel()
	start := time.Now()
	photo, err := imageio.Open(ctx, path)
	took := time.Since(start)
	if errors.Is(err, context.DeadlineExceeded) {
		fmt.Printf("ended %d\n", (took - end).Milliseconds())
		return nil
	}
	if err != nil {
		return err
	}
	readAll(photo)
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return err
	}
	fmt.Printf("opened %d %s\n", took.Milliseconds(), regexp.MustCompile(`VmHWM:\s*(\d+) kB`).FindSubmatch(status)[1])
	return nil
}

// readAll has every part of a photo decoded, at each size that its file gives.
func readAll(p *imageio.Photo) {
	for across := 1; across <= 4; across *= 2 {
		_, light := p.LinearAbout(across)
		for y := 0; y < p.Height; y += 8 {
			for x := 0; x < p.Width; x += 8 {
				light(x, y)
			}
		}
	}
}

// The worst pictures open in bounded memory and time, each in a process of its own, and let go soon when they are
// not wanted any more. Only Linux tells the peak of a process's memory.
func TestWorstPictures(t *testing.T) {
	most, slowest, latest := 0.0, 0.0, 0.0
	for name, data := range worstPictures(t) {
		path := filepath.Join(t.TempDir(), "photo")
		require.NoError(t, os.WriteFile(path, data, 0o600))
		open := func(more ...string) string {
			child := exec.Command(os.Args[0])
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
		most, slowest, latest = max(most, kB*1024/1e6), max(slowest, ms/1000), max(latest, over/1000)
	}
	if figure.Long() { // as fast only where nothing else runs
		require.Less(t, slowest, worstTime.Seconds())
		require.Less(t, latest, worstEnd.Seconds())
	}
	figure.Report(t, "worst pictures/memory", "%.0f MB", most)
	figure.Report(t, "worst pictures/time", "%.1f s", slowest)
	figure.Report(t, "worst pictures/ended", "%.1f s", latest)
}
