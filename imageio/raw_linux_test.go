package imageio_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/imageio/sample"
	"huewright/internal/figure"
	"huewright/internal/rawfile"
)

// largeRaw is a mosaic of 4000 × 3000 samples of 14 bits with the noise of a sensor, as most cameras pack it or as it is.
func largeRaw(lossless bool) []byte {
	p := rawfile.Photo{
		Wide: 4000, High: 3000, Bits: 14, Pattern: [4]byte{0, 1, 1, 2}, Samples: make([]uint16, 12_000_000), TileWide: 256, TileHigh: 256,
		Black: []float64{512}, White: []int{16000}, Neutral: []float64{0.5, 1, 0.6}, Lights: [2]int{21},
		Matrices: [2][]float64{{0.70, -0.25, -0.07, -0.45, 1.27, 0.20, -0.10, 0.20, 0.60}},
	}
	if lossless {
		p.Lossless = &rawfile.Lossless{}
	} else {
		p.Bits, p.TileWide, p.TileHigh = 16, 0, 0
	}
	rng := rand.New(rand.NewPCG(12, 14))
	for i := range p.Samples {
		x, y := i%4000, i/4000
		p.Samples[i] = uint16(1000 + x/2 + y + 300*((x/200+y/200)%7) + int(40*rng.NormFloat64()))
	}
	return p.Bytes()
}

// A raw photo of 12 megapixels opens within bounds of memory, in a process of its own.
func TestRawMemory(t *testing.T) {
	most := 0.0
	for _, lossless := range []bool{true, false} {
		path := filepath.Join(t.TempDir(), "photo.dng")
		require.NoError(t, os.WriteFile(path, largeRaw(lossless), 0o600))
		child := exec.Command(os.Args[0])
		child.Env = append(os.Environ(), openVariable+"="+path)
		out, err := child.CombinedOutput()
		require.NoError(t, err, "%s", out)
		var ms, kB float64
		_, err = fmt.Sscanf(string(out), "opened %f %f", &ms, &kB)
		require.NoError(t, err, "%s", out)
		most = max(most, kB/1000)
	}
	figure.Report(t, "raw memory", "%.0f MB", most)
	require.Less(t, most, 120.0)
}

// BenchmarkRaw opens a raw photo of 12 megapixels and measures an area of it, beside what a known decoder takes for a picture of half
// the size, one after the other in each round; the ratio is of the medians.
func BenchmarkRaw(b *testing.B) {
	path := filepath.Join(b.TempDir(), "photo.dng")
	require.NoError(b, os.WriteFile(path, largeRaw(true), 0o600))
	decoder, none := exec.LookPath("dcraw_emu")
	var ours, theirs []float64
	for b.Loop() {
		start := time.Now()
		photo, err := imageio.Open(b.Context(), path)
		require.NoError(b, err)
		_, err = sample.Read(b.Context(), photo, imageio.Rect(300, 300, 800, 600), nil, sample.Options{Name: "area"})
		require.NoError(b, err)
		ours = append(ours, time.Since(start).Seconds())
		if none == nil {
			start = time.Now()
			require.NoError(b, exec.Command(decoder, "-h", path).Run())
			theirs = append(theirs, time.Since(start).Seconds())
		}
	}
	slices.Sort(ours)
	b.ReportMetric(1000*ours[len(ours)/2], "ms")
	b.ReportMetric(0, "ns/op")
	if none == nil {
		slices.Sort(theirs)
		b.ReportMetric(ours[len(ours)/2]/theirs[len(theirs)/2], "×half-size")
	}
}
