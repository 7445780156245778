package main

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/image/tiff"

	"huewright/internal/figure"
)

// smallFiles are small files of each kind: drawn here, or kept where Go's libraries cannot write them.
func smallFiles(t *testing.T) map[string][]byte {
	img := image.NewNRGBA(image.Rect(0, 0, 96, 72))
	rng := rand.New(rand.NewPCG(6, 6))
	for y := range 72 {
		for x := range 96 {
			img.SetNRGBA(x, y, color.NRGBA{uint8(120 + rng.IntN(30)), uint8(90 + rng.IntN(20)), uint8(60 + x/4), 255})
		}
	}
	files := map[string][]byte{}
	keep := func(name string, write func(*bytes.Buffer) error) {
		var out bytes.Buffer
		require.NoError(t, write(&out))
		files[name] = out.Bytes()
	}
	keep("photo.jpg", func(b *bytes.Buffer) error { return jpeg.Encode(b, img, nil) })
	keep("photo.png", func(b *bytes.Buffer) error { return png.Encode(b, img) })
	keep("photo.tif", func(b *bytes.Buffer) error { return tiff.Encode(b, img, nil) })
	for _, kind := range []string{"webp", "heic", "avif"} {
		found, err := filepath.Glob(filepath.Join("..", "..", "testdata", kind, "four-fields*."+kind))
		require.NoError(t, err)
		require.NotEmpty(t, found)
		data, err := os.ReadFile(found[0])
		require.NoError(t, err)
		files["photo."+kind] = data
	}
	return files
}

// spoil changes a file as disks and networks do, and as nobody does.
func spoil(rng *rand.Rand, data []byte) []byte {
	out := bytes.Clone(data)
	for range 1 + rng.IntN(3) {
		if len(out) < 16 {
			return out
		}
		at := rng.IntN(len(out))
		if rng.IntN(2) == 0 {
			at = rng.IntN(min(len(out), 400)) // what stands before the picture tells most
		}
		switch rng.IntN(7) {
		case 0:
			out[at] ^= 1 << rng.IntN(8)
		case 1:
			out[at] = byte(rng.Uint32())
		case 2:
			out = out[:at]
		case 3:
			to := min(len(out), at+1+rng.IntN(64))
			out = append(out[:at:at], out[to:]...)
		case 4:
			to := min(len(out), at+1+rng.IntN(64))
			out = append(out[:to:to], out[at:]...)
		case 5:
			for i := at; i < min(len(out), at+8); i++ {
				out[i] = []byte{0, 0xff}[rng.IntN(2)]
			}
		case 6:
			copy(out[at:], out[rng.IntN(len(out)):])
		}
	}
	return out
}

// sumUp puts the check sums of a PNG's chunks right, as far as their lengths can be followed, so that what is
// wrong in them is looked at.
func sumUp(data []byte) {
	for at := 8; at+12 <= len(data); {
		n := int(binary.BigEndian.Uint32(data[at:]))
		if n < 0 || at+12+n > len(data) {
			return
		}
		binary.BigEndian.PutUint32(data[at+8+n:], crc32.ChecksumIEEE(data[at+4:at+8+n]))
		at += 12 + n
	}
}

// hangs is when something has hung, on however slow a machine. How long the slowest took is printed.
const hangs = 30 * time.Second

// TestSpoiltFiles measures spoilt files of every kind: what comes is an answer or a fault with its code and
// a hint, within a gigabyte; a thousand of each kind in the long run.
func TestSpoiltFiles(t *testing.T) {
	dir := t.TempDir()
	files := figure.Draws(40, 1000)
	slowestOfAll, mostOfAll := time.Duration(0), uint64(0)
	for name, data := range smallFiles(t) {
		rng := rand.New(rand.NewPCG(1000, uint64(len(name))))
		codes := map[int]int{}
		slowest, most := time.Duration(0), uint64(0)
		path := filepath.Join(dir, name)
		for range files {
			spoilt := spoil(rng, data)
			if name == "photo.png" && rng.IntN(4) > 0 {
				sumUp(spoilt)
			}
			require.NoError(t, os.WriteFile(path, spoilt, 0o644))
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			start := time.Now()
			code, _, stderr := huewright("measure", path, "--area", "all=10,10,50,40")
			took := time.Since(start)
			runtime.ReadMemStats(&after)
			slowest, most = max(slowest, took), max(most, after.TotalAlloc-before.TotalAlloc)
			codes[code]++
			if code != exitDone {
				require.Contains(t, []int{exitWrongUse, exitPhoto}, code, "%s: %s", name, stderr)
				require.Contains(t, stderr, "hint: ")
			}
			if took > hangs || after.TotalAlloc-before.TotalAlloc > 1<<30 {
				kept := filepath.Join(os.TempDir(), "spoilt-"+name)
				_ = os.WriteFile(kept, spoilt, 0o644)
				t.Errorf("%s took %.1f s and %d MB; see %s", name, took.Seconds(), (after.TotalAlloc-before.TotalAlloc)>>20, kept)
			}
		}
		t.Logf("%-11s %d files, by exit code %v; the slowest %.2f s, %d MB allocated at most", name, files, codes, slowest.Seconds(), most>>20)
		slowestOfAll, mostOfAll = max(slowestOfAll, slowest), max(mostOfAll, most)
	}
	figure.Report(t, "spoilt files/slowest", "%.1f s of %d each", slowestOfAll.Seconds(), files)
	figure.Report(t, "spoilt files/most memory", "%.1f GB", float64(mostOfAll)/(1<<30))
}
