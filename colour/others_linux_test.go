package colour

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"os"
	"os/exec"
	"syscall"
	"testing"
	"time"

	"github.com/lucasb-eyer/go-colorful"
	"github.com/stretchr/testify/require"

	"huewright/internal/figure"
)

// inPython times two Python libraries at the same colours, each alone on one core, and prints seconds a pair or a pixel, and their
// differences of the first pairs; null for a library that is not installed.
const inPython = `
import json, sys, time, warnings
warnings.filterwarnings("ignore")
data = json.load(sys.stdin)
def timed(work, n):
    best = 1e9
    for _ in range(5):
        start = time.process_time(); work(); best = min(best, (time.process_time() - start) / n)
    return best
out = {"skimage": None, "colour": None}
try:
    import numpy as np
    a, b, codes = np.array(data["A"]), np.array(data["B"]), np.array(data["Codes"], dtype=np.uint8)[None]
    try:
        from skimage import color
        out["skimage"] = [timed(lambda: color.deltaE_ciede2000(a, b), len(a)), timed(lambda: color.rgb2lab(codes), codes.shape[1])]
        out["differences"] = color.deltaE_ciede2000(a[:1000], b[:1000]).tolist()
    except ImportError: pass
    try:
        import colour
        lab = lambda: colour.XYZ_to_Lab(colour.sRGB_to_XYZ(codes / 255))
        out["colour"] = [timed(lambda: colour.delta_E(a, b, method="CIE 2000"), len(a)), timed(lab, codes.shape[1])]
    except ImportError: pass
except ImportError: pass
print(json.dumps(out))
`

// processorTime is what this process has taken.
func processorTime(t *testing.T) time.Duration {
	var used syscall.Rusage
	require.NoError(t, syscall.Getrusage(syscall.RUSAGE_SELF, &used))
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}

// TestBesideOtherLibraries times CIEDE2000 and sRGB codes to Lab beside other libraries at the same colours, on one core.
func TestBesideOtherLibraries(t *testing.T) {
	figure.NeedOthers(t)
	const n = 200_000
	rng := rand.New(rand.NewPCG(7, 7))
	var given struct{ A, B, Codes [][3]float64 }
	first, second, codes := make([]Lab, n), make([]Lab, n), make([]RGB8, n)
	for i := range n {
		codes[i] = RGB8{uint8(rng.Uint32()), uint8(rng.Uint32()), uint8(rng.Uint32())}
		first[i] = Lab{100 * rng.Float64(), 120*rng.Float64() - 60, 120*rng.Float64() - 60}
		second[i] = Lab{100 * rng.Float64(), 120*rng.Float64() - 60, 120*rng.Float64() - 60}
		given.A = append(given.A, [3]float64{first[i].L, first[i].A, first[i].B})
		given.B = append(given.B, [3]float64{second[i].L, second[i].A, second[i].B})
		given.Codes = append(given.Codes, [3]float64{float64(codes[i].R), float64(codes[i].G), float64(codes[i].B)})
	}
	timed := func(work func()) float64 {
		best := time.Hour
		for range 5 {
			start := processorTime(t)
			work()
			best = min(best, processorTime(t)-start)
		}
		return best.Seconds() / n
	}
	sum, labs := 0.0, make([]Lab, n)
	pair := timed(func() {
		for i := range first {
			sum += DeltaE2000(first[i], second[i])
		}
	})
	pixel := timed(func() { EncodedLabs(labs, codes) })
	beside := func(name string, theirs []float64) {
		if theirs == nil {
			figure.Report(t, "others/"+name, "not installed")
			return
		}
		figure.Report(t, "others/"+name, "%.1f; %.1f", theirs[0]/pair, theirs[1]/pixel)
	}
	beside("go-colorful", []float64{timed(func() {
		for i := range first {
			a, b := first[i], second[i]
			sum += colorful.Lab(a.L/100, a.A/100, a.B/100).DistanceCIEDE2000(colorful.Lab(b.L/100, b.A/100, b.B/100))
		}
	}), timed(func() {
		for _, c := range codes {
			l, _, _ := colorful.Color{R: float64(c.R) / 255, G: float64(c.G) / 255, B: float64(c.B) / 255}.Lab()
			sum += l
		}
	})})
	var theirs struct{ Skimage, Colour, Differences []float64 }
	input, err := json.Marshal(given)
	require.NoError(t, err)
	for _, path := range []string{"python3", "/usr/bin/python3"} { // the system's has its packages, whichever comes first
		python := exec.Command(path, "-c", inPython)
		python.Env = append(os.Environ(), "OMP_NUM_THREADS=1", "OPENBLAS_NUM_THREADS=1")
		python.Stdin = bytes.NewReader(input)
		if out, err := python.Output(); err == nil && theirs.Skimage == nil && theirs.Colour == nil {
			require.NoError(t, json.Unmarshal(out, &theirs))
		}
	}
	for i, d := range theirs.Differences {
		require.InDelta(t, d, DeltaE2000(first[i], second[i]), 1e-6)
	}
	beside("scikit-image", theirs.Skimage)
	beside("colour-science", theirs.Colour)
}
