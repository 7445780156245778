package render

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/imageio"
	"huewright/imageio/internal/icc"
	"huewright/imageio/internal/imagetest"
	"huewright/internal/figure"
)

// stained is a change as a coat makes it: darker, redder, and dark colours less than light ones.
func stained(c colour.LinearRGB) colour.LinearRGB {
	over := func(v, k, s float64) float64 {
		a := math.Sqrt(k * (k + 2*s))
		tau := math.Tanh(2*a) / a
		return (v + tau*(s-(k+s)*v)) / (1 + tau*(k+s-s*v))
	}
	return colour.LinearRGB{R: over(c.R, 0.1, 0.03), G: over(c.G, 0.25, 0.03), B: over(c.B, 0.5, 0.03)}
}

// TestRecolourIsExactBetweenCorners holds the table against the change itself, at every wood colour in
// steps of three codes: what is left is half a code of rounding.
func TestRecolourIsExactBetweenCorners(t *testing.T) {
	var codes []color.NRGBA
	for r := 40; r < 250; r += 3 {
		for g := 25; g < r; g += 3 {
			for b := 10; b < g; b += 3 {
				l := colour.RGB8{R: uint8(r), G: uint8(g), B: uint8(b)}.Linear().Lab()
				if c := math.Hypot(l.A, l.B); l.A > 0 && l.B > 4 && c < 50 {
					codes = append(codes, color.NRGBA{uint8(r), uint8(g), uint8(b), 255})
				}
			}
		}
	}
	wide := int(math.Ceil(math.Sqrt(float64(len(codes)))))
	img := image.NewNRGBA(image.Rect(0, 0, wide, wide))
	for i := range wide * wide {
		img.SetNRGBA(i%wide, i/wide, codes[i%len(codes)])
	}
	c := canvasOf(t, img, 0)
	require.NoError(t, c.Recolour(t.Context(), imageio.Rect(0, 0, float64(wide), float64(wide)), Recolouring{Change: stained, Feather: -1}))
	worst, sum := 0.0, 0.0
	table := newColourTable(stained)
	for i := range codes {
		p := codes[i]
		table.needed[cellOf(p.R, p.G, p.B)] = true
	}
	require.NoError(t, table.fill(t.Context()))
	for i, p := range codes {
		want := stained(colour.RGB8{R: p.R, G: p.G, B: p.B}.Linear())
		got := c.img.NRGBAAt(i%wide, i/wide)
		// Against the change rounded to the same codes: rounding is the file's, not the table's.
		exact := want.Encode()
		d := colour.DeltaE2000(exact.Linear().Lab(), colour.RGB8{R: got.R, G: got.G, B: got.B}.Linear().Lab())
		worst, sum = max(worst, d), sum+d
	}
	figure.Report(t, "recolouring/as codes", "%.2f on average of %d, %.1f at most", sum/float64(len(codes)), len(codes), worst)
	require.Less(t, sum/float64(len(codes)), 0.1)
	require.Less(t, worst, 1.0, "one code at the darkest")
	// And without rounding.
	worst = 0
	for _, p := range codes {
		want := stained(colour.RGB8{R: p.R, G: p.G, B: p.B}.Linear())
		w := table.weigh(p.R, p.G, p.B)
		light := func(shift int) float64 {
			return icc.DecodeSRGB(float64(w>>shift&nodeMask) / (sixteenth * gridStep * 255))
		}
		got := colour.LinearRGB{R: light(2 * nodeBits), G: light(nodeBits), B: light(0)}
		worst = max(worst, colour.DeltaE2000(want.Lab(), got.Lab()))
	}
	figure.Report(t, "recolouring/before rounding", "%.2f at most", worst)
	require.LessOrEqual(t, worst, 0.3)
}

func TestCanvasIsThePhoto(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	img := image.NewNRGBA(image.Rect(0, 0, 120, 80))
	for i := range img.Pix {
		img.Pix[i] = uint8(rng.IntN(256)) | uint8(0xff*(i%4/3))
	}
	c := canvasOf(t, img, 0)
	require.Equal(t, img.Pix, c.img.Pix)
	small := canvasOf(t, img, 60)
	wide, high := small.size()
	require.Equal(t, [2]int{60, 40}, [2]int{wide, high})
	// Light is averaged, not codes.
	var light float64
	for _, p := range []image.Point{{0, 0}, {1, 0}, {0, 1}, {1, 1}} {
		light += icc.DecodeSRGB(float64(img.NRGBAAt(p.X, p.Y).R)/255) / 4
	}
	require.InDelta(t, colour.LinearRGB{R: light}.Encode().R, small.img.NRGBAAt(0, 0).R, 1)
}

func TestRecolourKeepsWhatIsOutside(t *testing.T) {
	img := image.NewNRGBA(image.Rect(0, 0, 200, 200))
	for i := range img.Pix {
		img.Pix[i] = []uint8{180, 140, 90, 255}[i%4]
	}
	c := canvasOf(t, img, 0)
	before := c.Clone()
	area := imageio.Rect(50, 50, 100, 100)
	area.Holes = [][]imageio.Point{imageio.Rect(90, 90, 20, 20).Points}
	require.NoError(t, c.Recolour(t.Context(), area, Recolouring{Change: stained, Feather: 8}))
	at := func(x, y int) color.NRGBA { return c.img.NRGBAAt(x, y) }
	was := before.img.NRGBAAt(0, 0)
	require.Equal(t, was, at(30, 100), "outside")
	require.Equal(t, was, at(100, 100), "in a hole")
	inside := at(70, 70)
	require.Less(t, inside.B, was.B)
	require.Equal(t, inside, at(50, 100), "all that is outlined")
	edge := at(47, 100)
	require.Greater(t, edge.B, inside.B, "between the two on the edge")
	require.Less(t, edge.B, was.B)
	for x := 40; x < 60; x++ {
		require.LessOrEqual(t, at(x+1, 70).B, at(x, 70).B, "the edge is a slope without steps back")
	}
	c = before.Clone()
	require.NoError(t, c.Recolour(t.Context(), imageio.Rect(300, 300, 10, 10), Recolouring{Change: stained}))
	require.Equal(t, before.img.Pix, c.img.Pix, "off the picture")
	require.NoError(t, c.Recolour(t.Context(), imageio.Rect(-50, -50, 100, 100), Recolouring{Change: stained, Feather: 10}))
	require.Equal(t, inside, at(0, 0), "an area that ends with the picture does not fade there")
}

// BenchmarkRecolour recolours all of 12 megapixels of wood.
func BenchmarkRecolour(b *testing.B) {
	grain := imagetest.NewGrain(1, 4000, 3000, 40, 3)
	c := canvasOf(b, imagetest.Picture16(4000, 3000, func(x, y int) colour.LinearRGB { return imagetest.Oak(grain.At(x, y)) }), 0)
	work := c.Clone()
	for b.Loop() {
		copy(work.img.Pix, c.img.Pix)
		require.NoError(b, work.Recolour(b.Context(), imageio.Rect(0, 0, 4000, 3000), Recolouring{Change: stained}))
	}
	b.ReportMetric(12*float64(b.N)/b.Elapsed().Seconds(), "Mpx/s")
}

func canvasOf(t testing.TB, img image.Image, most int) *Canvas {
	t.Helper()
	p, err := imageio.Decode(t.Context(), imagetest.PNGOf(t, img), "made.png")
	require.NoError(t, err)
	c, err := NewCanvas(t.Context(), p, most)
	require.NoError(t, err)
	return c
}
