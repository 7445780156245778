package chart_test

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/imageio/internal/imagetest"
	"huewright/internal/fault"
	"huewright/internal/figure"
)

// A drawnCard is a chart in a drawn photo: pitches are 1, and its eye looks from 12 away.
type drawnCard struct {
	x, y    float64 // of its middle, pixels
	width   float64 // of its six columns, pixels
	roll    float64 // degrees
	tilt    float64 // degrees, about an axis that is turned by half the roll
	gap     float64 // pitches
	flipped bool
	covered int // columns under a hand, from the right
	paint   func(i int) colour.Lab
}

// to maps the card's plane, from its middle, to the photo; from maps back.
func (d drawnCard) to(x, y float64) imageio.Point {
	const eye = 12
	if d.flipped {
		x = -x
	}
	sin, cos := math.Sincos(d.roll * math.Pi / 180)
	x, y = x*cos-y*sin, x*sin+y*cos
	st, ct := math.Sincos(d.tilt * math.Pi / 180)
	x, z := x*ct, x*st
	s := d.width / 6 * eye / (eye + z)
	return imageio.Point{X: d.x + s*x, Y: d.y + s*y}
}

func (d drawnCard) from(p imageio.Point) (x, y float64) {
	const eye = 12
	st, ct := math.Sincos(d.tilt * math.Pi / 180)
	u, v := (p.X-d.x)*6/d.width, (p.Y-d.y)*6/d.width
	x = u * eye / (eye*ct - u*st)
	y = v * (eye + x*st) / eye
	sin, cos := math.Sincos(d.roll * math.Pi / 180)
	x, y = x*cos+y*sin, -x*sin+y*cos
	if d.flipped {
		x = -x
	}
	return x, y
}

func (d drawnCard) corners() (q [4]imageio.Point) {
	h := d.gap / 2
	for i, c := range [4][2]float64{{-3 + h, -2 + h}, {3 - h, -2 + h}, {3 - h, 2 - h}, {-3 + h, 2 - h}} {
		q[i] = d.to(c[0], c[1])
	}
	return q
}

// at is what the card shows at a place of the photo.
func (d drawnCard) at(p imageio.Point) (colour.LinearRGB, bool) {
	x, y := d.from(p)
	if math.Abs(x) > 3.3 || math.Abs(y) > 2.3 {
		return colour.LinearRGB{}, false
	}
	if x > 3-float64(d.covered) {
		return colour.Lab{L: 66, A: 16 + 3*math.Sin(3*y), B: 19}.LinearRGB(), true
	}
	column, row := math.Floor(x+3), math.Floor(y+2)
	u, v := x+3-column-0.5, y+2-row-0.5
	if column < 0 || column > 5 || row < 0 || row > 3 || max(math.Abs(u), math.Abs(v)) > 0.5-d.gap/2 {
		return cardBlack, true
	}
	i := int(6*row + column)
	if d.paint != nil {
		return d.paint(i).LinearRGB(), true
	}
	return cardPaint[i], true
}

var (
	cardBlack = colour.Lab{L: 14}.LinearRGB()
	cardPaint = func() (light [24]colour.LinearRGB) {
		for i, patch := range camera.Chart24(camera.Since2014) {
			light[i] = patch.Lab.LinearRGB()
		}
		return light
	}()
)

// drawnPhoto shows the cards on boards and squares of other things, by a warm and noisy camera.
func drawnPhoto(t *testing.T, cards ...drawnCard) *imageio.Photo {
	t.Helper()
	return drawnPhotoOf(t, 1200, 900, cards...)
}

func drawnPhotoOf(t *testing.T, drawnWide, drawnHigh int, cards ...drawnCard) *imageio.Photo {
	t.Helper()
	rng := rand.New(rand.NewPCG(3, 5))
	img := image.NewNRGBA(image.Rect(0, 0, drawnWide, drawnHigh))
	for y := range drawnHigh {
		for x := range drawnWide {
			var sum colour.LinearRGB
			board := float64((x / 90) % 5)
			behind := colour.Lab{L: 45 + 5*board + 4*math.Sin(float64(y)/7+board), A: 12, B: 20 + board}.LinearRGB()
			if (x/60)%4 == 1 && (y/60)%3 == 1 && x%60 > 20 && y%60 > 20 {
				behind = colour.Lab{L: 80 - 10*board}.LinearRGB()
			}
			for k := range 4 {
				p := imageio.Point{X: float64(x) + 0.25 + 0.5*float64(k&1), Y: float64(y) + 0.25 + 0.5*float64(k>>1)}
				c := behind
				for _, card := range cards {
					if v, on := card.at(p); on {
						c = v
					}
				}
				sum.R, sum.G, sum.B = sum.R+c.R/4, sum.G+c.G/4, sum.B+c.B/4
			}
			noise := 1 + 0.02*rng.NormFloat64()
			out := colour.LinearRGB{R: 0.9 * noise * sum.R, G: 0.75 * noise * sum.G, B: 0.55 * noise * sum.B}.Encode()
			img.SetNRGBA(x, y, color.NRGBA{out.R, out.G, out.B, 255})
		}
	}
	var file bytes.Buffer
	require.NoError(t, (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(&file, img))
	photo, err := imageio.Decode(t.Context(), file.Bytes(), "drawn.png")
	require.NoError(t, err)
	return photo
}

// worstCorner is how far a corner is off, as a share of the chart's width.
func worstCorner(want, got [4]imageio.Point) float64 {
	wide := max(math.Hypot(want[1].X-want[0].X, want[1].Y-want[0].Y), math.Hypot(want[2].X-want[3].X, want[2].Y-want[3].Y))
	worst := 0.0
	for i := range want {
		worst = max(worst, math.Hypot(want[i].X-got[i].X, want[i].Y-got[i].Y)/wide)
	}
	return worst
}

func TestFindChartWhereverItLies(t *testing.T) {
	cards := map[string]drawnCard{
		"upright": {width: 400}, "quarter turn": {width: 400, roll: 90}, "half turn": {width: 400, roll: 180},
		"turned 33°": {width: 400, roll: 33}, "turned 110°": {width: 400, roll: 110}, "turned 250°": {width: 400, roll: 250},
		"turned 315°": {width: 400, roll: 315},
		"tilted 30°":  {width: 500, tilt: 30, roll: 20}, "tilted 45°": {width: 500, tilt: 45},
		"tilted 45°, turned 70°": {width: 500, tilt: 45, roll: 70},
		"5 % of the width":       {width: 60}, "8 %": {width: 96, roll: 10}, "90 %": {width: 1080},
		"wide gaps":      {width: 400, gap: 0.22, roll: 200},
		"wide gaps, 8 %": {width: 96, gap: 0.22, roll: 5}, "no gaps": {width: 400, gap: 1e-9, roll: 5},
	}
	whole, small := 0.0, 0.0 // worst corner where the chart is no less than 30 % of the width, and where it is less
	for name, card := range cards {
		t.Run(name, func(t *testing.T) {
			card.x, card.y = 610, 440
			if card.gap == 0 {
				card.gap = 0.13
			}
			photo := drawnPhoto(t, card)
			start := time.Now()
			found, err := chart.Find(t.Context(), photo, chart.Search{})
			took := time.Since(start)
			require.NoError(t, err)
			off := worstCorner(card.corners(), found.Corners)
			t.Logf("corners off by %.2f %% of the chart's width; fits at %.1f, next way round %.1f; %d ms",
				100*off, found.Misfit(), found.Next(), took.Milliseconds())
			require.Less(t, off, 0.015)
			if card.width < 0.3*1200 {
				small = max(small, off)
			} else {
				whole = max(whole, off)
			}
		})
	}
	figure.Report(t, "corners/drawn", "%.1f %%", 100*whole)
	figure.Report(t, "corners/drawn small", "%.1f %%", 100*small)
}

// In a large photo a small chart shows only when it is searched more finely.
func TestFindChartSmallInALargePhoto(t *testing.T) {
	card := drawnCard{x: 1400, y: 900, width: 0.04 * 2400, gap: 0.13, roll: 130, tilt: 20}
	photo := drawnPhotoOf(t, 2400, 1800, card)
	start := time.Now()
	found, err := chart.Find(t.Context(), photo, chart.Search{})
	took := time.Since(start)
	require.NoError(t, err)
	off := worstCorner(card.corners(), found.Corners)
	t.Logf("corners off by %.2f %%; %d ms", 100*off, took.Milliseconds())
	require.Less(t, off, 0.015)
}

func TestFindChartRefusesByName(t *testing.T) {
	good := drawnCard{x: 600, y: 450, width: 400, gap: 0.13, roll: 15}
	with := func(change func(*drawnCard)) drawnCard {
		c := good
		change(&c)
		return c
	}
	for name, c := range map[string]struct {
		card drawnCard
		code fault.Code
	}{
		"nothing":      {with(func(c *drawnCard) { c.width = 1e-6 }), "chart.none"},
		"mirrored":     {with(func(c *drawnCard) { c.flipped = true }), "chart.mirrored"},
		"half covered": {with(func(c *drawnCard) { c.covered = 3 }), "chart.covered"},
		"one column":   {with(func(c *drawnCard) { c.covered = 1 }), "chart.covered"},
		"cut off":      {with(func(c *drawnCard) { c.x = 1080 }), "chart.cut-off"},
		"other colours": {with(func(c *drawnCard) {
			c.paint = func(i int) colour.Lab { return camera.Chart24(camera.Since2014)[7*i%24].Lab }
		}), "chart.another"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := chart.Find(t.Context(), drawnPhoto(t, c.card), chart.Search{})
			require.Equal(t, fault.Photo, imagetest.RequireFault(t, err, c.code).Kind)
		})
	}
}

func TestFindChartAsksWhichOfTwo(t *testing.T) {
	left := drawnCard{x: 300, y: 400, width: 380, gap: 0.13, roll: 5}
	right := drawnCard{x: 860, y: 500, width: 300, gap: 0.22, roll: 190}
	photo := drawnPhoto(t, left, right)
	_, err := chart.Find(t.Context(), photo, chart.Search{})
	require.Len(t, imagetest.RequireFault(t, err, chart.Several).Values["places"], 2)
	for _, card := range []drawnCard{left, right} {
		found, err := chart.Find(t.Context(), photo, chart.Search{At: &imageio.Point{X: card.x + 20, Y: card.y - 30}})
		require.NoError(t, err)
		require.Less(t, worstCorner(card.corners(), found.Corners), 0.015)
	}
	_, err = chart.Find(t.Context(), photo, chart.Search{At: &imageio.Point{X: 10, Y: 10}})
	imagetest.RequireFault(t, err, "chart.none-there")
}
