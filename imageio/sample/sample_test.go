package sample

import (
	"image"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/imageio"
	"huewright/imageio/internal/imagetest"
	"huewright/internal/fault"
	"huewright/internal/figure"
	"huewright/internal/fixture"
)

// atItsWord takes a photo's colours for what they say, and is sure of it.
type atItsWord struct{}

func (atItsWord) Apply(c colour.LinearRGB) colour.XYZ { return c.XYZ() }
func (atItsWord) PlusMinus(colour.Lab) float64        { return 0 }

// photoOf makes a photo of 16 bits from the light at each pixel.
func photoOf(t testing.TB, width, height int, light func(x, y int) colour.LinearRGB) *imageio.Photo {
	t.Helper()
	return decodePNG(t, imagetest.Picture16(width, height, light))
}

func decodePNG(t testing.TB, img image.Image) *imageio.Photo {
	t.Helper()
	p, err := imageio.Decode(t.Context(), imagetest.PNGOf(t, img), "made.png")
	require.NoError(t, err)
	return p
}

func sampleWhole(t testing.TB, p *imageio.Photo) colour.Reading {
	t.Helper()
	opt := Options{Name: "all", MaxPixels: 100_000} // so that what is dropped can be counted
	r, err := readBy(t.Context(), p, imageio.Rect(0, 0, float64(p.Width), float64(p.Height)), atItsWord{}, opt)
	require.NoError(t, err)
	return r
}

func TestSampleOfOneColour(t *testing.T) {
	want := colour.RGB8{R: 138, G: 90, B: 60}.Linear()
	r := sampleWhole(t, photoOf(t, 60, 50, func(int, int) colour.LinearRGB { return want }))
	require.Less(t, colour.DeltaE2000(want.Lab(), r.Mean), 0.005, "of 16 bits and float32 tables")
	require.Equal(t, 3000, r.Pixels)
	require.Zero(t, r.Dropped)
	for _, s := range r.Spread {
		require.InDelta(t, 0, s, 1e-9)
	}
	require.InDelta(t, 0, r.Sampling, 1e-9)
	require.Equal(t, "made.png: all", r.From)
	require.Empty(t, r.Warnings)
}

// A mean of light, not of codes: a chequerboard of two greys reflects their average.
func TestSampleAveragesLight(t *testing.T) {
	r := sampleWhole(t, photoOf(t, 80, 80, func(x, y int) colour.LinearRGB {
		v := 0.2 + 0.3*float64((x+y)%2)
		return colour.LinearRGB{R: v, G: v, B: v}
	}))
	require.InDelta(t, 116*math.Cbrt(0.35)-16, r.Mean.L, 0.01)
	require.Zero(t, r.Dropped, "half of an area is not an outlier")
}

func TestSampleDropsGlareAndGaps(t *testing.T) {
	const size = 300
	wood := imagetest.NewGrain(1, size, size, 6, 60)
	clean := sampleWhole(t, photoOf(t, size, size, func(x, y int) colour.LinearRGB { return imagetest.Oak(wood.At(x, y)) }))
	require.Less(t, clean.Dropped.Glare+clean.Dropped.Gaps, size*size/5000, "the tails of made-up grain")

	t.Run("glare", func(t *testing.T) { // a lamp of its own colour, fading at the edge
		p := photoOf(t, size, size, func(x, y int) colour.LinearRGB {
			c := imagetest.Oak(wood.At(x, y))
			d := math.Hypot(float64(x)-150, float64(y)-120) / 45
			added := 0.9 * math.Exp(-math.Pow(d, 6))
			return colour.LinearRGB{R: c.R + added, G: c.G + 0.95*added, B: c.B + 0.8*added}
		})
		r := sampleWhole(t, p)
		require.InEpsilon(t, math.Pi*45*45, r.Dropped.Glare, 0.15)
		require.Less(t, r.Dropped.Gaps, size*size/5000)
		require.Less(t, colour.DeltaE2000(clean.Mean, r.Mean), 0.5)
		require.Contains(t, imagetest.Codes(r.Warnings), fault.Code("area.glare"))
	})
	t.Run("glare on grey wood", func(t *testing.T) {
		grey := func(x, y int) colour.LinearRGB {
			return colour.Lab{L: 45 + 3*wood.At(x, y), A: 0.5, B: 2 + 1.5*wood.At(y, x)}.LinearRGB()
		}
		clean := sampleWhole(t, photoOf(t, size, size, grey))
		require.Less(t, clean.Dropped.Glare, size*size/5000)
		r := sampleWhole(t, photoOf(t, size, size, func(x, y int) colour.LinearRGB {
			c := grey(x, y)
			if math.Hypot(float64(x)-150, float64(y)-120) < 45 {
				return colour.LinearRGB{R: c.R + 0.5, G: c.G + 0.48, B: c.B + 0.45}
			}
			return c
		}))
		require.InEpsilon(t, math.Pi*45*45, r.Dropped.Glare, 0.02)
		require.Less(t, colour.DeltaE2000(clean.Mean, r.Mean), 0.3)
	})
	t.Run("gaps", func(t *testing.T) { // joints between boards
		p := photoOf(t, size, size, func(x, y int) colour.LinearRGB {
			if x%75 < 4 {
				return colour.LinearRGB{R: 0.012, G: 0.009, B: 0.007}
			}
			return imagetest.Oak(wood.At(x, y))
		})
		r := sampleWhole(t, p)
		require.InDelta(t, 4*4*size, r.Dropped.Gaps, size*size/5000)
		require.Less(t, r.Dropped.Glare, size*size/5000)
		require.Less(t, colour.DeltaE2000(clean.Mean, r.Mean), 0.3)
	})
	t.Run("pores stay", func(t *testing.T) { // fine dark lines, a part of the wood
		rng := rand.New(rand.NewPCG(5, 6))
		lines := make([]bool, size)
		for i := range lines {
			lines[i] = rng.Float64() < 0.05
		}
		p := photoOf(t, size, size, func(x, y int) colour.LinearRGB {
			g := wood.At(x, y)
			if lines[x] {
				g -= 3 // 12 L* darker
			}
			return imagetest.Oak(g)
		})
		r := sampleWhole(t, p)
		require.Less(t, float64(r.Dropped.Gaps), 0.01*size*size)
	})
}

// On real wood without glare, next to nothing is dropped. The sheet shows swatches of 128
// pixels, 144 apart and 176 down; those of the first four rows that fill their field.
func TestRealWoodIsKept(t *testing.T) {
	p, err := imageio.Open(t.Context(), fixture.NeedShared(t, "wood/ambientcg/Wood.webp")[0])
	require.NoError(t, err)
	worst := 0.0
	for i := range 28 {
		if i == 10 || i == 11 {
			continue // fill half of their field
		}
		swatch := imageio.Rect(float64(22+144*(i%7)), float64(22+176*(i/7)), 116, 116)
		r, err := readBy(t.Context(), p, swatch, atItsWord{}, Options{})
		require.NoError(t, err)
		share := float64(r.Dropped.Glare+r.Dropped.Gaps) / (116 * 116)
		require.Less(t, share, 0.01, "swatch %d: %+v", i+1, r.Dropped)
		worst = max(worst, share)
	}
	figure.Report(t, "wood dropped as glare or gaps", "%.1f %% at most", 100*worst)

	p, err = imageio.Open(t.Context(), fixture.NeedShared(t, "wood/materialx/wood_color.jpg")[0])
	require.NoError(t, err)
	r := sampleWhole(t, p)
	require.Less(t, float64(r.Dropped.Glare+r.Dropped.Gaps), 0.001*float64(r.Pixels))
}

// The sampling radius holds the true mean of the wood 95 times in 100, whichever way its
// grain runs, where taking pixels for independent would hold it far less often.
func TestSamplingRadiusCovers(t *testing.T) {
	for name, c := range map[string]struct{ acrossX, acrossY int }{
		"fine": {4, 4}, "upright": {5, 40}, "lying": {30, 6}, "coarse": {15, 15},
	} {
		t.Run(name, func(t *testing.T) {
			const size, runs = 150, 120
			held, naive := 0, 0
			for seed := range uint64(runs) {
				g := imagetest.NewGrain(seed, size, size, c.acrossX, c.acrossY)
				var at []imageio.Pixel
				var light []colour.XYZ
				for y := range int32(size) {
					for x := range int32(size) {
						v := 0.3 * (1 + 0.1*g.At(int(x), int(y)))
						at = append(at, imageio.Pixel{X: x, Y: y})
						light = append(light, colour.LinearRGB{R: v, G: 0.7 * v, B: 0.4 * v}.XYZ())
					}
				}
				truth := colour.LinearRGB{R: 0.3, G: 0.21, B: 0.12}.Lab()
				off := colour.DeltaE2000(truth, colour.Summarise(light).Mean)
				if off <= samplingRadius(at, light) {
					held++
				}
				if off <= 1.96*colour.Summarise(light).Spread[0]/size {
					naive++
				}
			}
			t.Logf("held %d of %d; pixels taken as independent %d", held, runs, naive)
			require.GreaterOrEqual(t, held, runs*88/100)
			require.Less(t, naive, held)
		})
	}
}

func TestSampleOnALattice(t *testing.T) {
	g := imagetest.NewGrain(3, 500, 400, 7, 70)
	p := photoOf(t, 500, 400, func(x, y int) colour.LinearRGB { return imagetest.Oak(g.At(x, y)) })
	all := sampleWhole(t, p)
	few, err := readBy(t.Context(), p, imageio.Rect(0, 0, 500, 400), atItsWord{}, Options{MaxPixels: 10_000})
	require.NoError(t, err)
	require.InDelta(t, 100*80, few.Pixels, 10)
	require.Less(t, colour.DeltaE2000(all.Mean, few.Mean), 0.1)
	require.InEpsilon(t, all.Spread[0], few.Spread[0], 0.03)
	require.InEpsilon(t, all.Sampling, few.Sampling, 0.3)
}

func TestSampleIsTheSameOnOneProcessor(t *testing.T) {
	g := imagetest.NewGrain(4, 400, 400, 7, 70)
	p := photoOf(t, 400, 400, func(x, y int) colour.LinearRGB { return imagetest.Oak(g.At(x, y)) })
	many := sampleWhole(t, p)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	require.Equal(t, many, sampleWhole(t, p))
}

func TestSampleWarnings(t *testing.T) {
	g := imagetest.NewGrain(2, 200, 200, 5, 50)
	for want, light := range map[fault.Code]func(x, y int) colour.LinearRGB{
		"area.uneven-light": func(x, y int) colour.LinearRGB {
			c, f := imagetest.Oak(g.At(x, y)), 0.8+0.4*float64(x)/200
			return colour.LinearRGB{R: c.R * f, G: c.G * f, B: c.B * f}
		},
		"area.burnt-out": func(x, y int) colour.LinearRGB {
			c := imagetest.Oak(g.At(x, y))
			return colour.LinearRGB{R: c.R * 2.2, G: c.G * 1.2, B: c.B}
		},
		"area.varied": func(x, y int) colour.LinearRGB {
			return imagetest.Oak(4 * math.Cos(math.Hypot(float64(x-100), float64(y-100))/16))
		},
	} {
		r := sampleWhole(t, photoOf(t, 200, 200, light))
		require.Contains(t, imagetest.Codes(r.Warnings), want)
	}
}

// brighter doubles the light and is never sure.
type brighter struct{}

func (brighter) Apply(c colour.LinearRGB) colour.XYZ {
	return colour.LinearRGB{R: 2 * c.R, G: 2 * c.G, B: 2 * c.B}.XYZ()
}
func (brighter) PlusMinus(colour.Lab) float64 { return 3 }

func TestSampleIsCorrected(t *testing.T) {
	g := imagetest.NewGrain(6, 200, 200, 8, 8)
	p := photoOf(t, 200, 200, func(x, y int) colour.LinearRGB {
		v := 0.2 * (1 + 0.15*g.At(x, y))
		return colour.LinearRGB{R: v, G: v, B: v}
	})
	plain, err := Read(t.Context(), p, imageio.Rect(0, 0, 200, 200), nil, Options{MaxPixels: 100_000})
	require.NoError(t, err)
	require.Equal(t, sampleWhole(t, p).Mean, plain.Mean)
	require.Greater(t, plain.PlusMinus, 10.0, "nobody knows its exposure")

	r, err := readBy(t.Context(), p, imageio.Rect(0, 0, 200, 200), brighter{}, Options{MaxPixels: 100_000})
	require.NoError(t, err)
	require.InEpsilon(t, 2*plain.Mean.XYZ().Y, r.Mean.XYZ().Y, 1e-6)
	require.Equal(t, 3.0, r.Systematic)
	require.Positive(t, r.Sampling)
	require.InDelta(t, math.Sqrt(9+r.Sampling*r.Sampling), r.PlusMinus, 1e-12)
	require.Empty(t, r.Warnings)
}

func TestSampleFaults(t *testing.T) {
	p := photoOf(t, 60, 40, func(int, int) colour.LinearRGB { return imagetest.Oak(0) })
	for code, outline := range map[fault.Code]imageio.Outline{
		"area.few-pixels":     imageio.Rect(0, 0, 8, 5),
		"outline.outside":     imageio.Rect(50, 30, 20, 5),
		"outline.few-corners": {},
	} {
		_, err := readBy(t.Context(), p, outline, atItsWord{}, Options{Name: "panel"})
		require.Equal(t, fault.Place{File: "made.png", Area: "panel"}, imagetest.RequireFault(t, err, code).Place)
	}

	bright := photoOf(t, 60, 40, func(x, y int) colour.LinearRGB {
		if x < 3 {
			return imagetest.Oak(0)
		}
		return colour.LinearRGB{R: 1, G: 1, B: 0.9}
	})
	_, err := readBy(t.Context(), bright, imageio.Rect(0, 0, 60, 40), atItsWord{}, Options{})
	require.Equal(t, fault.Values{"have": 120, "need": 200}, imagetest.RequireFault(t, err, "area.few-pixels-left").Values)

	one := photoOf(t, 1, 1, func(int, int) colour.LinearRGB { return imagetest.Oak(0) })
	_, err = readBy(t.Context(), one, imageio.Rect(0, 0, 1, 1), atItsWord{}, Options{})
	require.Equal(t, fault.Values{"have": 1, "need": 200}, imagetest.RequireFault(t, err, "area.few-pixels").Values)

	cut := image.NewNRGBA(image.Rect(0, 0, 40, 40))
	for i := range cut.Pix {
		cut.Pix[i] = 0x80
	}
	_, err = readBy(t.Context(), decodePNG(t, cut), imageio.Rect(0, 0, 20, 20), atItsWord{}, Options{})
	require.Equal(t, 400, imagetest.RequireFault(t, err, "area.transparent").Values["pixels"])
}

func TestReadPatch(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 9))
	p := photoOf(t, 120, 100, func(x, y int) colour.LinearRGB {
		v := 0.5 * (0.95 + 0.1*float64(x)/119) * (1 + 0.01*rng.NormFloat64())
		if (x*7+y*13)%97 == 0 {
			v = 0.02 // specks of dirt
		}
		return colour.LinearRGB{R: v, G: 0.98 * v, B: 0.9 * v}
	})
	patch, err := ReadPatch(t.Context(), p, imageio.Rect(0, 0, 120, 100))
	require.NoError(t, err)
	require.InDelta(t, 0.5, patch.Mean.R, 0.003)
	require.InDelta(t, 0.45, patch.Mean.B, 0.003)
	require.InDelta(t, 0.10, patch.Unevenness, 0.01)
	require.Zero(t, patch.Clipped)

	burnt := photoOf(t, 40, 40, func(x, y int) colour.LinearRGB {
		return colour.LinearRGB{R: 0.8 + 0.3*float64(x/20), G: 0.8, B: 0.8}
	})
	_, err = ReadPatch(t.Context(), burnt, imageio.Rect(0, 0, 40, 40))
	require.Equal(t, 0.5, imagetest.RequireFault(t, err, "area.burnt-card").Values["share"])
}
