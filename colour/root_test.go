package colour

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/lucasb-eyer/go-colorful"
	"github.com/stretchr/testify/require"
)

func TestCubeRoot(t *testing.T) {
	worst := 0.0
	for x := 1e-9; x < 1e9; x *= 1.0003 {
		worst = max(worst, math.Abs(CubeRoot(x)/math.Cbrt(x)-1))
	}
	t.Logf("off by one part in %.1g at most", 1/worst)
	require.Less(t, worst, 1e-13)
}

// The reference is go-colorful 1.4.1, which takes roots by math.Cbrt.
func TestLabAgreesWithGoColorful(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	same := func(c XYZ) {
		l, a, b := colorful.XyzToLabWhiteRef(c.X, c.Y, c.Z, [3]float64{WhiteD65.X, WhiteD65.Y, WhiteD65.Z})
		got := c.Lab()
		require.InDelta(t, 100*l, got.L, 1e-9)
		require.InDelta(t, 100*a, got.A, 1e-9)
		require.InDelta(t, 100*b, got.B, 1e-9)
	}
	for range 100_000 {
		same(XYZ{1.5*rng.Float64() - 0.2, 1.5*rng.Float64() - 0.2, 1.5*rng.Float64() - 0.2})
		same(XYZ{0.02 * rng.Float64(), 0.02 * rng.Float64(), 0.02 * rng.Float64()}) // round the straight part's end
	}
	same(XYZ{})
}

func TestEncodedLabs(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	codes := make([]RGB8, 20_000)
	for i := range codes {
		codes[i] = RGB8{uint8(rng.Uint32()), uint8(rng.Uint32()), uint8(rng.Uint32())}
	}
	labs := make([]Lab, len(codes))
	EncodedLabs(labs, codes)
	for i, c := range codes {
		want := c.Linear().Lab()
		require.InDelta(t, want.L, labs[i].L, 1e-9)
		require.InDelta(t, want.A, labs[i].A, 1e-9)
		require.InDelta(t, want.B, labs[i].B, 1e-9)
	}
	EncodedLabs(nil, nil)
	require.Panics(t, func() { EncodedLabs(labs[:3], codes[:4]) })
}

// BenchmarkEncodedLabs takes all pixels of a picture to Lab, beside one by one through go-colorful.
func BenchmarkEncodedLabs(b *testing.B) {
	rng := rand.New(rand.NewPCG(4, 4))
	codes, labs := make([]RGB8, 1<<21), make([]Lab, 1<<21)
	for i := range codes {
		codes[i] = RGB8{uint8(rng.Uint32()), uint8(rng.Uint32()), uint8(rng.Uint32())}
	}
	start := time.Now()
	for i, c := range codes[:1<<18] {
		labs[i].L, labs[i].A, labs[i].B = colorful.Color{R: float64(c.R) / 255, G: float64(c.G) / 255, B: float64(c.B) / 255}.Lab()
	}
	each := time.Since(start).Seconds() / (1 << 18)
	for b.Loop() {
		EncodedLabs(labs, codes)
	}
	rate := float64(len(codes)) * float64(b.N) / b.Elapsed().Seconds()
	b.ReportMetric(rate/1e6, "Mpx/s")
	b.ReportMetric(rate*each, "×go-colorful")
	b.ReportMetric(0, "ns/op")
}
