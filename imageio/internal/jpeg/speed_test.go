package jpeg_test

import (
	"bytes"
	"context"
	"image"
	standard "image/jpeg"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/imageio/internal/container"
	"huewright/imageio/internal/imagetest"
	"huewright/imageio/internal/jpeg"
)

// photograph is one of 12 megapixels that a phone took, as a JPEG of about the quality that phones write.
func photograph(b *testing.B) []byte {
	b.Helper()
	file, err := os.ReadFile(imagetest.PhonePhoto(b))
	require.NoError(b, err)
	p, wrong := container.Decode(b.Context(), file, container.Limits{})
	require.Nil(b, wrong)
	require.Greater(b, p.Image.Bounds().Dx()*p.Image.Bounds().Dy(), 12_000_000)
	var out bytes.Buffer
	require.NoError(b, standard.Encode(&out, p.Image, &standard.Options{Quality: 93}))
	b.Logf("%v, %d bytes", p.Image.Bounds(), out.Len())
	return out.Bytes()
}

// BenchmarkPhotograph reads what a measurement asks for, and all, beside the standard library's decoder, and djpeg where that is
// installed, one after the other in each round; ratios are of the medians.
func BenchmarkPhotograph(b *testing.B) {
	file := photograph(b)
	path := filepath.Join(b.TempDir(), "photo.jpg")
	require.NoError(b, os.WriteFile(path, file, 0o600))
	open := func() *jpeg.Picture {
		p, err := jpeg.Open(context.Background(), file)
		require.NoError(b, err)
		return p
	}
	read := func(p *jpeg.Picture, shift int, part image.Rectangle) {
		v := p.View(shift)
		for y := part.Min.Y; y < min(part.Max.Y, v.Height); y += 8 >> shift {
			for x := part.Min.X; x < min(part.Max.X, v.Width); x += 8 {
				v.YCC(x, y)
			}
		}
	}
	all := image.Rect(0, 0, 1<<16, 1<<16)
	ways := []struct {
		name string
		do   func()
	}{
		{"standard", func() {
			_, err := standard.Decode(bytes.NewReader(file))
			require.NoError(b, err)
		}},
		{"pass", func() { open() }},
		{"measured", func() {
			p := open()
			for _, part := range []image.Rectangle{image.Rect(500, 500, 800, 800), image.Rect(2500, 1800, 2800, 2100),
				image.Rect(1500, 1000, 2300, 1600)} {
				read(p, 0, part)
			}
		}},
		{"half", func() { read(open(), 1, all) }},
		{"all", func() { read(open(), 0, all) }},
		{"djpeg", func() { require.NoError(b, exec.Command("djpeg", "-outfile", os.DevNull, path).Run()) }},
	}
	if _, err := exec.LookPath("djpeg"); err != nil {
		ways = ways[:len(ways)-1]
	}
	took := make([][]float64, len(ways))
	for b.Loop() {
		for i, way := range ways {
			start := time.Now()
			way.do()
			took[i] = append(took[i], time.Since(start).Seconds())
		}
	}
	for i, way := range ways {
		slices.Sort(took[i])
		b.ReportMetric(took[i][len(took[i])/2]/took[0][len(took[0])/2], way.name+"/standard")
	}
	b.ReportMetric(1000*took[0][len(took[0])/2], "standard-ms")
	b.ReportMetric(0, "ns/op")
}
