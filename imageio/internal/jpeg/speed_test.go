package jpeg_test

import (
	"bytes"
	"context"
	"fmt"
	"image"
	standard "image/jpeg"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/disintegration/imaging"
	"github.com/stretchr/testify/require"

	"huewright/imageio/internal/container"
	"huewright/imageio/internal/imagetest"
	"huewright/imageio/internal/jpeg"
	"huewright/internal/fixture"
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

// reading is what a measurement asks for of a picture: two areas and where a chart lies; or all of it, at one size.
type reading struct {
	b    *testing.B
	file []byte
}

func (r reading) open() *jpeg.Picture {
	p, err := jpeg.Open(context.Background(), r.file)
	require.NoError(r.b, err)
	return p
}

func (r reading) part(p *jpeg.Picture, shift int, part image.Rectangle) {
	v := p.View(shift)
	for y := part.Min.Y; y < min(part.Max.Y, v.Height); y += 8 >> shift {
		for x := part.Min.X; x < min(part.Max.X, v.Width); x += 8 {
			v.YCC(x, y)
		}
	}
}

func (r reading) measured() {
	p := r.open()
	for _, part := range []image.Rectangle{image.Rect(500, 500, 800, 800), image.Rect(2300, 1800, 2600, 2100),
		image.Rect(1500, 1000, 2300, 1600)} {
		r.part(p, 0, part)
	}
}

func (r reading) all(shift int) { r.part(r.open(), shift, image.Rect(0, 0, 1<<16, 1<<16)) }

func (r reading) standard() {
	_, err := standard.Decode(bytes.NewReader(r.file))
	require.NoError(r.b, err)
}

// beside runs ways in turn and tells the median time of each over that of the first, and what each allocates over what the first does.
func (r reading) beside(names []string, ways ...func()) {
	took, memory := make([][]float64, len(ways)), make([]float64, len(ways))
	for r.b.Loop() {
		for i, way := range ways {
			before, start := imagetest.Allocated(), time.Now()
			way()
			took[i] = append(took[i], time.Since(start).Seconds())
			memory[i] = float64(imagetest.Allocated() - before)
		}
	}
	for i := range took {
		slices.Sort(took[i])
	}
	for i, name := range names[1:] {
		i++
		r.b.ReportMetric(took[i][len(took[i])/2]/took[0][len(took[0])/2], name+"/"+names[0])
		if memory[i] > 1<<16 { // another process's is not known
			r.b.ReportMetric(memory[i]/memory[0], name+"-memory/"+names[0])
		}
	}
	r.b.ReportMetric(1000*took[0][len(took[0])/2], names[0]+"-ms")
	r.b.ReportMetric(0, "ns/op")
}

// BenchmarkPhotograph reads what a measurement asks for, and all, beside the standard library's decoder, and djpeg where that is
// installed.
func BenchmarkPhotograph(b *testing.B) {
	r := reading{b, photograph(b)}
	path := filepath.Join(b.TempDir(), "photo.jpg")
	require.NoError(b, os.WriteFile(path, r.file, 0o600))
	names := []string{"standard", "pass", "measured", "half", "all"}
	ways := []func(){r.standard, func() { r.open() }, r.measured, func() { r.all(1) }, func() { r.all(0) }}
	if _, err := exec.LookPath("djpeg"); err == nil {
		names = append(names, "djpeg")
		ways = append(ways, func() { require.NoError(b, exec.Command("djpeg", "-outfile", os.DevNull, path).Run()) })
	}
	r.beside(names, ways...)
}

// BenchmarkSmallerPhotograph does so with one of 8 megapixels that is a JPEG already. It runs in a browser's WebAssembly too:
// GOOS=js GOARCH=wasm go test -exec "$(go env GOROOT)/lib/wasm/go_js_wasm_exec" -run xxx -bench Smaller.
func BenchmarkSmallerPhotograph(b *testing.B) {
	file, err := os.ReadFile(fixture.NeedShared(b, "charts/jarrelscy/IMG_20140613_203438.jpg")[0])
	require.NoError(b, err)
	r := reading{b, file}
	r.beside([]string{"standard", "pass", "measured", "all"}, r.standard, func() { r.open() }, r.measured, func() { r.all(0) })
}

// BenchmarkLargePhotograph does so with photos of 48 and 108 megapixels, made by enlarging one: the areas stay as large.
func BenchmarkLargePhotograph(b *testing.B) {
	small, err := standard.Decode(bytes.NewReader(photograph(b)))
	require.NoError(b, err)
	for _, times := range []int{2, 3} {
		b.Run(fmt.Sprintf("%dMP", 12*times*times), func(b *testing.B) {
			large := imaging.Resize(small, times*small.Bounds().Dx(), 0, imaging.Linear)
			var file bytes.Buffer
			require.NoError(b, standard.Encode(&file, large, &standard.Options{Quality: 90}))
			r := reading{b, file.Bytes()}
			r.beside([]string{"standard", "pass", "measured", "eighth"}, r.standard, func() { r.open() }, r.measured, func() { r.all(3) })
		})
	}
}
