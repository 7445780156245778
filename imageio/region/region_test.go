package region_test

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/imageio/internal/imagetest"
	"huewright/imageio/region"
	"huewright/internal/contexttest"
)

// A board with a knob, on a wall, under light that falls off to the right: what each pixel shows.
func onBoard(x, y int) bool { return x >= 100 && x < 500 && y >= 80 && y < 300 && !onKnob(x, y) }
func onKnob(x, y int) bool  { return (x-300)*(x-300)+(y-180)*(y-180) < 40*40 }

func photo(t testing.TB) *imageio.Photo {
	t.Helper()
	rng := rand.New(rand.NewPCG(1, 2))
	return drawn(t, func(x, y int) ([3]float64, float64) {
		c := [3]float64{120, 125, 130}
		switch {
		case onKnob(x, y):
			c = [3]float64{90, 90, 60}
		case onBoard(x, y):
			c = [3]float64{170, 110, 70}
		}
		return c, (1 - 0.3*float64(x)/640) * (1 + 0.03*rng.NormFloat64())
	})
}

// drawn is a photo of 640 × 400 pixels, of each of which at tells the codes and the light on it, row by row.
func drawn(t testing.TB, at func(x, y int) (codes [3]float64, light float64)) *imageio.Photo {
	t.Helper()
	img := image.NewNRGBA(image.Rect(0, 0, 640, 400))
	for y := range 400 {
		for x := range 640 {
			c, light := at(x, y)
			img.SetNRGBA(x, y, color.NRGBA{uint8(c[0] * light), uint8(c[1] * light), uint8(c[2] * light), 255})
		}
	}
	path := t.TempDir() + "/drawn.png"
	require.NoError(t, imageio.WritePNG(t.Context(), path, img))
	p, err := imageio.Open(t.Context(), path)
	require.NoError(t, err)
	return p
}

// share is how much of what either covers both do.
func share(p *imageio.Photo, a, b func(x, y int) bool) float64 {
	both, either := 0, 0
	for y := range p.Height {
		for x := range p.Width {
			switch in, also := a(x, y), b(x, y); {
			case in && also:
				both++
				either++
			case in || also:
				either++
			}
		}
	}
	return float64(both) / float64(either)
}

func pixels(p *imageio.Photo, o imageio.Outline) func(x, y int) bool {
	in := map[[2]int]bool{}
	for _, s := range o.Spans(p.Width, p.Height) {
		for x := s.X0; x < s.X1; x++ {
			in[[2]int{x, s.Y}] = true
		}
	}
	return func(x, y int) bool { return in[[2]int{x, y}] }
}

func TestOneTapTakesTheBoardAndLeavesTheKnob(t *testing.T) {
	p := photo(t)
	cells, err := region.Divide(t.Context(), p)
	require.NoError(t, err)
	for _, at := range []imageio.Point{{X: 120, Y: 100}, {X: 480, Y: 280}, {X: 250, Y: 200}} {
		mask, err := cells.Take(t.Context(), []region.Tap{{At: at}}, nil)
		require.NoError(t, err)
		in := func(x, y int) bool { return mask.Contains(imageio.Point{X: float64(x) + 0.5, Y: float64(y) + 0.5}) }
		require.Greater(t, share(p, in, onBoard), 0.97)

		o := mask.Outline(0)
		require.Empty(t, o.More)
		require.Len(t, o.Holes, 1, "the knob")
		require.NoError(t, o.CheckOn(p))
		require.Greater(t, share(p, pixels(p, o), onBoard), 0.96)
		inner := mask.Outline(5)
		require.Empty(t, func() (out []int) {
			covers := pixels(p, inner)
			for i := range p.Width * p.Height {
				if covers(i%p.Width, i/p.Width) && !onBoard(i%p.Width, i/p.Width) {
					out = append(out, i)
				}
			}
			return out
		}(), "drawn in by five pixels nothing but board is left")
	}
}

func TestTapsThatSayNo(t *testing.T) {
	p := photo(t)
	cells, err := region.Divide(t.Context(), p)
	require.NoError(t, err)
	wall := region.Tap{At: imageio.Point{X: 40, Y: 40}}
	mask, err := cells.Take(t.Context(), []region.Tap{wall, {At: imageio.Point{X: 40, Y: 350}, No: true}}, nil)
	require.NoError(t, err)
	require.True(t, mask.Contains(wall.At))
	require.False(t, mask.Contains(imageio.Point{X: 40, Y: 350}))

	slip := imageio.Rect(380, 100, 80, 80) // looks like the board, and is known to be something else
	mask, err = cells.Take(t.Context(), []region.Tap{{At: imageio.Point{X: 120, Y: 100}}}, []imageio.Outline{slip})
	require.NoError(t, err)
	require.False(t, mask.Contains(imageio.Point{X: 420, Y: 140}))
	require.True(t, mask.Contains(imageio.Point{X: 480, Y: 280}))
}

// Two boards of one wood, with a narrow gap between them, are one wood to a tap on either, and two where a tap says no to one of them.
func TestTapThatSaysNoPartsOneWood(t *testing.T) {
	const gap = 318
	rng := rand.New(rand.NewPCG(5, 6))
	p := drawn(t, func(x, y int) ([3]float64, float64) {
		c := [3]float64{120, 125, 130}
		if x >= 60 && x < 580 && y >= 60 && y < 340 {
			if c = [3]float64{170, 110, 70}; x >= gap && x < gap+4 {
				c = [3]float64{40, 30, 20}
			}
		}
		return c, 1 + 0.03*rng.NormFloat64()
	})
	cells, err := region.Divide(t.Context(), p)
	require.NoError(t, err)
	on := func(from, to int) func(x, y int) bool {
		return func(x, y int) bool { return x >= from && x < to && y >= 60 && y < 340 }
	}
	taps := []region.Tap{{At: imageio.Point{X: 190, Y: 200}}, {At: imageio.Point{X: 450, Y: 200}, No: true}}
	for n, truth := range []func(x, y int) bool{on(60, 580), on(60, gap)} {
		mask, err := cells.Take(t.Context(), taps[:n+1], nil)
		require.NoError(t, err)
		in := func(x, y int) bool { return mask.Contains(imageio.Point{X: float64(x) + 0.5, Y: float64(y) + 0.5}) }
		require.Greater(t, share(p, in, truth), 0.95, "%d taps", n+1)
	}
}

// A board whose grain is stripes of early and late wood has a filled spot of their mean lightness, but pinker than any of them: it is left
// out, unless it was tapped. A spot of late wood's own colour stays.
func TestFilledSpotIsLeftOut(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	inSpot := func(x, y int) bool { return x >= 300 && x < 380 && y >= 150 && y < 230 }
	inLate := func(x, y int) bool { return x >= 460 && x < 520 && y >= 150 && y < 230 }
	p := drawn(t, func(x, y int) ([3]float64, float64) {
		c := [3]float64{60, 70, 80}
		if x >= 40 && x < 600 && y >= 40 && y < 360 {
			late := 0.5 + 0.5*math.Sin(float64(x)/14+0.4*math.Sin(float64(y)/40))
			if inLate(x, y) {
				late = 1
			}
			c = [3]float64{200 - 30*late, 170 - 40*late, 120 - 36*late}
			if inSpot(x, y) {
				c = [3]float64{185, 145, 112}
			}
		}
		return c, 1 + 0.02*rng.NormFloat64()
	})
	cells, err := region.Divide(t.Context(), p)
	require.NoError(t, err)
	for _, tapped := range []bool{false, true} {
		taps := []region.Tap{{At: imageio.Point{X: 120, Y: 100}}}
		if tapped {
			taps = append(taps, region.Tap{At: imageio.Point{X: 340, Y: 190}})
		}
		mask, err := cells.Take(t.Context(), taps, nil)
		require.NoError(t, err)
		in, spot, late := 0, 0, 0
		for y := 150; y < 230; y++ {
			for x := range p.Width {
				if !mask.Contains(imageio.Point{X: float64(x) + 0.5, Y: float64(y) + 0.5}) {
					continue
				}
				switch in++; {
				case inSpot(x, y):
					spot++
				case inLate(x, y):
					late++
				}
			}
		}
		require.Greater(t, in-spot, 80*480*9/10)
		require.Greater(t, late, 60*80*9/10)
		if tapped {
			require.Greater(t, spot, 80*80*9/10)
		} else {
			require.Less(t, spot, 80*80/10)
		}
	}
}

func TestTakesEndWithTheirContext(t *testing.T) {
	p := photo(t)
	contexttest.RequireStops(t, func(ctx context.Context) error {
		cells, err := region.Divide(ctx, p)
		if err != nil {
			return err
		}
		_, err = cells.Take(ctx, []region.Tap{{At: imageio.Point{X: 120, Y: 100}}}, nil)
		return err
	})
}

// BenchmarkTap times what a tap on 12 megapixels takes beside decoding all of them by the standard library: the cells, once for each photo,
// and each tap.
func BenchmarkTap(b *testing.B) {
	data := imagetest.TwelveMegapixels()
	var decoding, cells, taking time.Duration
	for b.Loop() {
		p, err := imageio.Decode(b.Context(), data, "wood.jpg")
		require.NoError(b, err)
		start := time.Now()
		_, err = jpeg.Decode(bytes.NewReader(data))
		require.NoError(b, err)
		decoded := time.Now()
		c, err := region.Divide(b.Context(), p)
		require.NoError(b, err)
		divided := time.Now()
		mask, err := c.Take(b.Context(), []region.Tap{{At: imageio.Point{X: 2000, Y: 1500}}}, nil)
		require.NoError(b, err)
		mask.Outline(10)
		decoding, cells, taking = decoding+decoded.Sub(start), cells+divided.Sub(decoded), taking+time.Since(divided)
	}
	b.ReportMetric(cells.Seconds()/decoding.Seconds(), "cells-times-decoding")
	b.ReportMetric(taking.Seconds()/decoding.Seconds(), "tap-times-decoding")
}
