package workshop_test

import (
	"bytes"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/internal/figure"
	"huewright/internal/fixture"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// TestBesideStandardDecoder measures one photo as it is, which is decoded in parts, and as the standard library's decoder reads it, in turn
// and both in this process; then so again in WebAssembly, where Node.js is installed.
func TestBesideStandardDecoder(t *testing.T) {
	figure.NeedOthers(t)
	file, err := os.ReadFile(fixture.NeedShared(t, "charts/jarrelscy/IMG_20140613_203438.jpg")[0])
	require.NoError(t, err)
	files := inMemory{"parts.jpg": string(file), "whole.jpg": string(notInParts(file))}
	best := map[[2]string]float64{}
	for range 7 {
		for _, one := range [][2]string{
			{"parts.jpg", "chart"}, {"whole.jpg", "chart"}, {"parts.jpg", "none"}, {"whole.jpg", "none"},
		} {
			req := workshop.MeasureRequest{Photo: one[0], Reference: piece.Reference{Kind: one[1]}}
			for _, box := range [][2]float64{{300, 300}, {2348, 1736}} {
				area := imageio.Rect(box[0], box[1], 300, 300)
				req.Areas = append(req.Areas, workshop.AreaOutline{Name: "area", Outline: area})
			}
			start := time.Now()
			result, err := workshop.Measure(t.Context(), files, req)
			require.NoError(t, err)
			require.Equal(t, one[1], result.Calibration.Reference)
			if best[one] == 0 {
				best[one] = math.Inf(1)
			}
			best[one] = min(best[one], time.Since(start).Seconds())
		}
	}
	share := func(kind string) float64 {
		return best[[2]string{"parts.jpg", kind}] / best[[2]string{"whole.jpg", kind}]
	}
	figure.Report(t, "decoders/"+runtime.GOOS, "%.2f, %.2f", share("chart"), share("none"))
	if runtime.GOOS == "js" {
		return
	}
	if _, err := exec.LookPath("node"); err != nil {
		figure.Report(t, "decoders/js", "not installed")
		return
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	require.NoError(t, err)
	runner := filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "go_js_wasm_exec")
	again := exec.Command("go", "test", "-count=1", "-tags", "sqlite3_dotlk", "-exec", runner, "-run", "^"+t.Name()+"$", "-v", ".")
	again.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	out, err := again.CombinedOutput()
	require.NoError(t, err, string(out))
	_, value, found := bytes.Cut(out, []byte("decoders/js\t"))
	require.True(t, found, string(out))
	value, _, _ = bytes.Cut(value, []byte("\n"))
	figure.Report(t, "decoders/js", "%s", value)
}

// notInParts is a JPEG with a marker behind its picture that stands before it elsewhere: that is left to the standard library.
func notInParts(file []byte) []byte {
	end := bytes.LastIndex(file, []byte{0xff, 0xd9})
	return slices.Concat(file[:end], []byte{0xff, 0xe0, 0, 2}, file[end:])
}
