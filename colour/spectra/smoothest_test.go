package spectra_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/colour/internal/colourtest"
	"huewright/colour/spectra"
)

// L*, a*, b* of bare woods: spruce and fir measured, the rest from memory and ±5.
var woods = []colour.Lab{
	{L: 80.1, A: 7.6, B: 21.6}, {L: 80.5, A: 6.8, B: 18.9}, // spruce, fir
	{L: 82, A: 4, B: 19}, {L: 78, A: 4, B: 19}, {L: 66, A: 7, B: 21}, // hard maple, ash, oak
	{L: 62, A: 11, B: 22}, {L: 55, A: 12, B: 21}, {L: 46, A: 7, B: 15}, // cherry, mahogany, walnut
}

func requireReachable(t *testing.T, want colour.Lab) spectra.Spectrum {
	t.Helper()
	s := spectra.Smoothest(want)
	colourtest.RequireLab(t, want, s.Lab(), 1e-6)
	for _, r := range s {
		require.True(t, r > 0 && r < 1, "%v reflects %g", want, r)
	}
	return s
}

func TestSmoothestThereAndBack(t *testing.T) {
	for _, c := range woods {
		requireReachable(t, c)
	}
	for l := range 100 {
		grey := requireReachable(t, colour.Lab{L: float64(l) + 0.9})
		for _, r := range grey {
			require.InDelta(t, grey[0], r, 1e-9, "a grey is flat")
		}
	}
	for v := range 8 { // the corners of what a screen shows, and just above black
		c := colour.LinearRGB{R: float64(v & 1), G: float64(v >> 1 & 1), B: float64(v >> 2)}
		for _, scale := range []float64{0.998, 0.02, 0.0005} {
			requireReachable(t, colour.LinearRGB{R: scale*c.R + 1e-4, G: scale*c.G + 1e-4, B: scale*c.B + 1e-4}.Lab())
		}
	}
}

// roughness is what Smoothest makes least.
func roughness(s *spectra.Spectrum) float64 {
	sum := 0.0
	for i := 1; i < spectra.Bands; i++ {
		rise := math.Atanh(2*s[i]-1) - math.Atanh(2*s[i-1]-1)
		sum += rise * rise
	}
	return sum
}

// Every real surface shows that its colour can be had, and is no smoother than the answer.
func TestSmoothestIsSmootherThanTheRealSurface(t *testing.T) {
	surfaces := append(chartSpectra(t), spectrumOf(plywood(t), 0))
	for _, real := range surfaces {
		smooth := requireReachable(t, real.Lab())
		require.LessOrEqual(t, roughness(&smooth), roughness(real)+1e-9)
	}
}

// Bending the answer without changing its colour makes it rougher, whichever way it is bent.
func TestSmoothestIsSmoothest(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for _, c := range woods {
		best := requireReachable(t, c)
		for range 50 {
			bent := best
			for i := range bent {
				bent[i] += 0.002 * rng.NormFloat64()
			}
			restoreColour(&bent, c.XYZ())
			colourtest.RequireLab(t, c, bent.Lab(), 1e-6)
			require.Greater(t, roughness(&bent), roughness(&best))
		}
	}
}

// restoreColour changes s by the least sum of squares that makes its colour c.
func restoreColour(s *spectra.Spectrum, c colour.XYZ) {
	a := d65Weights()
	var gram colour.Matrix
	for _, w := range a {
		v := [3]float64{w.X, w.Y, w.Z}
		for j := range 3 {
			for k := range 3 {
				gram[j][k] += v[j] * v[k]
			}
		}
	}
	got := s.XYZ(spectra.LightD65)
	m := gram.Inverse().Apply(colour.XYZ{X: c.X - got.X, Y: c.Y - got.Y, Z: c.Z - got.Z})
	for i := range s {
		s[i] += a[i].X*m.X + a[i].Y*m.Y + a[i].Z*m.Z
	}
}

// Surfaces that reflect almost all in some bands and almost nothing in the others have the
// strongest colours there are.
func TestSmoothestStrongestColours(t *testing.T) {
	for from := range spectra.Bands {
		for to := from + 1; to <= spectra.Bands; to++ {
			for _, hole := range []bool{false, true} {
				var s spectra.Spectrum
				for i := range s {
					s[i] = 0.005
					if (i >= from && i < to) != hole {
						s[i] = 0.995
					}
				}
				requireReachable(t, s.Lab())
			}
		}
	}
}

// A colour is beyond every surface when some weighing of X, Y and Z is greater for it than for
// the surface best at that weighing: the one that reflects all where the weighing of the
// light's weights is positive, and nothing elsewhere. beyond returns the greatest excess, as a
// share of Y, over weighings of length 1: negative inside the body of surface colours.
func beyond(c colour.XYZ, rng *rand.Rand) float64 {
	a := d65Weights()
	excess := func(d [3]float64) float64 {
		sum := d[0]*c.X + d[1]*c.Y + d[2]*c.Z
		for _, a := range a {
			sum -= max(0, d[0]*a.X+d[1]*a.Y+d[2]*a.Z)
		}
		return sum / c.Y
	}
	var d [3]float64
	most := math.Inf(-1)
	for size := 2.0; size > 1e-5; size *= 0.99 { // there is one peak, so wandering uphill finds it
		for range 5 {
			var try [3]float64
			for k := range try {
				try[k] = d[k] + size*rng.NormFloat64()
			}
			n := math.Hypot(math.Hypot(try[0], try[1]), try[2])
			for k := range try {
				try[k] /= n
			}
			if e := excess(try); e > most {
				most, d = e, try
			}
		}
	}
	return most
}

// d65Weights returns what each band alone contributes to a colour.
func d65Weights() (a [spectra.Bands]colour.XYZ) {
	for i := range a {
		var one spectra.Spectrum
		one[i] = 1
		a[i] = one.XYZ(spectra.LightD65)
	}
	return a
}

func TestSmoothestRefusesOnlyWhatNoSurfaceHas(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	refused := 0
	for range 400 {
		c := colour.Lab{L: 1 + 98*rng.Float64(), A: 60 * rng.NormFloat64(), B: 60 * rng.NormFloat64()}
		s := spectra.Smoothest(c)
		if colour.DeltaE76(c, s.Lab()) < 1e-6 {
			continue
		}
		refused++
		require.Positive(t, beyond(c.XYZ(), rng), "%v can be had", c)
	}
	require.Greater(t, refused, 40)
}

func TestSmoothestComesNear(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 10))
	for range 3000 {
		c := colour.Lab{L: -20 + 140*rng.Float64(), A: 120 * rng.NormFloat64(), B: 120 * rng.NormFloat64()}
		s := spectra.Smoothest(c)
		got := s.Lab()
		for _, r := range s {
			require.True(t, r >= 0 && r <= 1, "%v reflects %g", c, r)
		}
		require.InDelta(t, min(max(c.L, 0.000904), 100-0.00004), got.L, 1e-5, "lightness of %v", c)
		require.LessOrEqual(t, got.LCh().C, c.LCh().C+1e-6)
		if got.LCh().C > 0.1 {
			turn := math.Abs(math.Remainder(got.LCh().H-c.LCh().H, 360))
			require.Less(t, turn, 1e-3, "hue of %v", c)
		}
	}
	require.Panics(t, func() { spectra.Smoothest(colour.Lab{L: math.NaN()}) })
}

func BenchmarkSmoothest(b *testing.B) {
	for _, bench := range []struct {
		name string
		c    colour.Lab
	}{
		{"wood", colour.Lab{L: 44, A: 14, B: 20}},
		{"strong paint", colour.Lab{L: 45, A: 65, B: 50}},
		{"beyond every surface", colour.Lab{L: 88, A: 31, B: -60}},
	} {
		b.Run(bench.name, func(b *testing.B) {
			for b.Loop() {
				spectra.Smoothest(bench.c)
			}
		})
	}
}
