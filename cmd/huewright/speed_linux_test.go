package main

import (
	"bytes"
	"fmt"
	"image/jpeg"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
)

// peakOf watches how much memory a process has had at most, in MB, as the kernel keeps it. What it tells
// of a child that has ended would count what its parent held before.
func peakOf(pid int, ended chan struct{}) (peak float64) {
	for {
		select {
		case <-ended:
			return peak
		case <-time.After(time.Millisecond):
		}
		status, _ := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
		if _, after, ok := strings.Cut(string(status), "VmHWM:"); ok {
			var kB float64
			if _, err := fmt.Sscan(after, &kB); err == nil {
				peak = max(peak, kB/1024)
			}
		}
	}
}

// BenchmarkCommands runs the built program as a person does, start and all, with how much memory it
// takes at most. Beside measure stand a bare decoding of the same file in this process, and what can
// be done with ImageMagick and no chart: crop two areas, take them to Lab and average.
func BenchmarkCommands(b *testing.B) {
	dir := b.TempDir()
	program := filepath.Join(dir, "huewright")
	started := time.Now()
	build := exec.Command("go", "build", "-trimpath", "-ldflags", "-s -w", "-o", program, ".")
	build.Env = append(os.Environ(), "CGO_ENABLED=0")
	out, err := build.CombinedOutput()
	require.NoError(b, err, string(out))
	b.Logf("go build: %.1f s, with whatever the build cache had", time.Since(started).Seconds())

	run := func(b *testing.B, name string, args ...string) (ms, peak float64) {
		cmd := exec.Command(name, args...)
		cmd.Dir = dir
		var out bytes.Buffer
		cmd.Stdout, cmd.Stderr = &out, &out
		start := time.Now()
		require.NoError(b, cmd.Start())
		ended := make(chan struct{})
		peaks := make(chan float64)
		go func() { peaks <- peakOf(cmd.Process.Pid, ended) }()
		err := cmd.Wait()
		ms = 1000 * time.Since(start).Seconds()
		close(ended)
		require.NoError(b, err, out.String())
		return ms, <-peaks
	}
	several := func(b *testing.B, once func() (ms, peak float64)) float64 {
		var took, peaks []float64
		for b.Loop() {
			ms, peak := once()
			took, peaks = append(took, ms), append(peaks, peak)
		}
		slices.Sort(took)
		median := took[len(took)/2]
		b.ReportMetric(median, "ms")
		b.ReportMetric(slices.Max(peaks), "peak-MB")
		b.ReportMetric(0, "ns/op")
		return median
	}
	b.Run("Help", func(b *testing.B) {
		several(b, func() (float64, float64) { return run(b, program, "--help") })
	})
	for _, size := range []struct{ megapixels, wide, high int }{{12, 4032, 3024}, {48, 8064, 6048}} {
		phone := bench.DrawCamera(5, bench.Phone)
		phone.Quality = 96 // a quarter of a byte a pixel, as real phones' photos have
		shot := bench.Cabinet(bench.CabinetOptions{Seed: 5}).Shoot(bench.View{Width: size.wide, Height: size.high, SamplesPerSide: 1}, phone)
		name := fmt.Sprintf("%d.jpg", size.megapixels)
		require.NoError(b, os.WriteFile(filepath.Join(dir, name), shot.JPEG, 0o644))
		planes := float64(size.wide*size.high) * 1.5 / (1 << 20)
		frame, panel := shot.Area(bench.Frame).Outline, shot.Area(bench.Panel).Outline
		bare := func() float64 {
			start := time.Now()
			_, err := jpeg.Decode(bytes.NewReader(shot.JPEG))
			require.NoError(b, err)
			return 1000 * time.Since(start).Seconds()
		}
		b.Run(fmt.Sprintf("Measure%dMP", size.megapixels), func(b *testing.B) {
			var decode, peaks []float64
			ms := several(b, func() (float64, float64) {
				decode = append(decode, bare())
				ms, peak := run(b, program, "measure", name, "--area", "frame="+frame.String(), "--area", "panel="+panel.String())
				peaks = append(peaks, peak)
				return ms, peak
			})
			slices.Sort(decode)
			b.ReportMetric(ms/decode[len(decode)/2], "×decoding")
			b.ReportMetric(slices.Max(peaks)/planes, "×planes")
		})
		crop := func(name string) string {
			points := shot.Area(name).Outline.Points
			low, high := points[0], points[0]
			for _, p := range points {
				low.X, low.Y, high.X, high.Y = min(low.X, p.X), min(low.Y, p.Y), max(high.X, p.X), max(high.Y, p.Y)
			}
			return fmt.Sprintf("%.0fx%.0f+%.0f+%.0f", high.X-low.X, high.Y-low.Y, low.X, low.Y)
		}
		b.Run(fmt.Sprintf("ImageMagick%dMPTwice", size.megapixels), func(b *testing.B) {
			if version, err := exec.Command("convert", "-version").Output(); err != nil || !strings.Contains(string(version), "ImageMagick") {
				b.Skip("ImageMagick is not installed")
			}
			several(b, func() (ms, peak float64) {
				for _, area := range []string{bench.Frame, bench.Panel} {
					once, most := run(b, "convert", name, "-crop", crop(area), "+repage", "-colorspace", "Lab", "-scale", "1x1!", "txt:-")
					ms, peak = ms+once, max(peak, most)
				}
				return ms, peak
			})
		})
		b.Run(fmt.Sprintf("ImageMagick%dMP", size.megapixels), func(b *testing.B) {
			version, err := exec.Command("convert", "-version").Output()
			if err != nil || !strings.Contains(string(version), "ImageMagick") {
				b.Skip("ImageMagick is not installed")
			}
			several(b, func() (float64, float64) {
				return run(b, "convert", name, "(", "-clone", "0", "-crop", crop(bench.Frame), "+repage", "-colorspace", "Lab", "-scale", "1x1!", ")",
					"(", "-clone", "0", "-crop", crop(bench.Panel), "+repage", "-colorspace", "Lab", "-scale", "1x1!", ")", "-delete", "0", "txt:-")
			})
		})
	}
	b.Run("Measure100Photos", func(b *testing.B) {
		photo, err := os.ReadFile(filepath.Join(dir, "12.jpg"))
		require.NoError(b, err)
		args := []string{"measure", "--area", "all=1200,1000,400,400"}
		for i := range 100 {
			name := fmt.Sprintf("photo-%02d.jpg", i)
			require.NoError(b, os.WriteFile(filepath.Join(dir, name), photo, 0o644))
			args = append(args, name)
		}
		several(b, func() (float64, float64) { return run(b, program, args...) })
	})
	b.Run("Measure2Photos", func(b *testing.B) {
		several(b, func() (float64, float64) {
			return run(b, program, "measure", "--area", "all=1200,1000,400,400", "photo-00.jpg", "photo-01.jpg")
		})
	})
}
