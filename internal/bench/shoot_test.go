package bench

import (
	"bytes"
	"image/jpeg"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/imageio"
)

var small = View{Width: 640, Height: 480, SamplesPerSide: 1}

func TestSpotAndPixelAreInverse(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 9))
	for range 500 {
		v := View{TiltX: 0.1 * rng.NormFloat64(), TiltY: 0.1 * rng.NormFloat64(), RollDegrees: 5 * rng.NormFloat64()}.orDefault()
		px := imageio.Point{X: 1600 * rng.Float64(), Y: 1200 * rng.Float64()}
		back := v.pixel(v.spot(px))
		require.InDelta(t, px.X, back.X, 1e-8)
		require.InDelta(t, px.Y, back.Y, 1e-8)
	}
}

func TestShotsCanBeRepeated(t *testing.T) {
	first := Cabinet(DrawCabinet(4)).Shoot(small, DrawCamera(4, Phone))
	again := Cabinet(DrawCabinet(4)).Shoot(small, DrawCamera(4, Phone))
	require.True(t, bytes.Equal(first.JPEG, again.JPEG))
	require.Equal(t, first.Areas, again.Areas)
	other := Cabinet(DrawCabinet(5)).Shoot(small, DrawCamera(4, Phone))
	require.False(t, bytes.Equal(first.JPEG, other.JPEG))
}

// Truth does not know the camera: whatever takes the picture, areas have the same colours.
func TestTruthIsTheScenesOwn(t *testing.T) {
	scene := Cabinet(DrawCabinet(2))
	a, b := scene.Shoot(small, DrawCamera(1, Phone)), scene.Shoot(small, DrawCamera(2, Plain))
	require.Equal(t, a.Areas, b.Areas)
	closer := scene.Shoot(View{Width: 900, Height: 675, SamplesPerSide: 2}, DrawCamera(1, Mild))
	for _, area := range a.Areas {
		require.Less(t, colour.DeltaE2000(area.Lab, closer.Area(area.Name).Lab), 0.5, area.Name)
	}
}

// A camera without faults, in even light, shows the truth but for what its sensor confuses;
// so outlines, grain and colours are of the same places in the picture and in the truth.
func TestFaultlessCameraShowsTheTruth(t *testing.T) {
	c := DrawCamera(3, Plain)
	c.Lamp, c.Gradient, c.Vignette, c.Flare, c.Read, c.Shot, c.Blur = Daylight(6504), 0, 0, 0, 0, 0, 0
	c.Balance, c.Exposure = [3]float64{1, 1, 1}, 0.95
	shot := Cabinet(DrawCabinet(3)).Shoot(small, c)
	photo, err := jpeg.Decode(bytes.NewReader(shot.JPEG))
	require.NoError(t, err)
	for _, area := range shot.Areas {
		outline := make(shape, len(area.Outline.Points))
		for i, p := range area.Outline.Points {
			outline[i] = spot{p.X, p.Y}
		}
		var sum colour.LinearRGB
		n := 0.0
		for y := range shot.Height {
			for x := range shot.Width {
				if outline.contains(float64(x)+0.5, float64(y)+0.5) {
					r, g, b, _ := photo.At(x, y).RGBA()
					px := colour.RGB8{R: uint8(r >> 8), G: uint8(g >> 8), B: uint8(b >> 8)}.Linear()
					sum.R, sum.G, sum.B, n = sum.R+px.R, sum.G+px.G, sum.B+px.B, n+1
				}
			}
		}
		n *= c.Exposure
		got := colour.LinearRGB{R: sum.R / n, G: sum.G / n, B: sum.B / n}.Lab()
		d := colour.DeltaE2000(area.Lab, got)
		t.Logf("%-20s true %v, seen %v, %.1f apart", area.Name, area.Lab, got, d)
		require.Less(t, d, 2.0, area.Name)
		require.InDelta(t, area.Lab.L, got.L, 2.0, area.Name)
	}
}

func TestAreasLieInThePicture(t *testing.T) {
	for seed := range uint64(5) {
		shot := Cabinet(DrawCabinet(seed)).Shoot(small, DrawCamera(seed, Mild))
		require.Len(t, shot.Areas, 11)
		for _, area := range shot.Areas {
			require.NoError(t, area.Outline.Check(), area.Name)
			parsed, err := imageio.ParseOutline(area.Outline.String())
			require.NoError(t, err)
			require.Equal(t, area.Outline, parsed)
			share := 0.0
			for _, p := range area.components {
				share += p.share
			}
			require.InDelta(t, 1, share, 1e-9, area.Name)
			require.GreaterOrEqual(t, area.Ground.L, area.Lab.L-1e-9, area.Name)
			require.LessOrEqual(t, area.Figure.L, area.Lab.L+1e-9, area.Name)
		}
	}
	require.Panics(t, func() { (&Shot{}).Area("no such area") })
}

// No area lies in a shadow, and neither does the chart: what a person would take care of.
func TestAreasAreInTheOpen(t *testing.T) {
	opt := DrawCabinet(1)
	opt.Slips = len(slipSpots)
	scene := Cabinet(opt)
	inLight := func(name string, s shape) {
		b := s.box()
		var least, most, sum, n float64 = 2, 0, 0, 0
		for y := b.y0; y < b.y1; y += 2 {
			for x := b.x0; x < b.x1; x += 2 {
				if s.contains(x, y) {
					f, here := scene.at(x, y)
					light := scene.light(f, here, x, y)
					least, most, sum, n = min(least, light), max(most, light), sum+light, n+1
				}
			}
		}
		t.Logf("%-20s %.3f–%.3f", name, least, most)
		require.InDelta(t, 1, sum/n, 0.01, name)
		require.Greater(t, least, 0.96, name)
		require.Less(t, most, 1.04, name)
	}
	for _, p := range scene.places {
		inLight(p.name, p.shape)
	}
	inLight("chart", scene.chart[:])
}

// What is asked of areas that were coated in the picture: the truth agrees with itself.
func TestCoatsInThePictureAreTheTruth(t *testing.T) {
	opt := DrawCabinet(6)
	shot := Cabinet(opt).Shoot(small, DrawCamera(6, Mild))
	chip := opt.Wash.Opaque()
	require.Less(t, colour.DeltaE2000(chip.Lab(), shot.Area(Chip).Lab), 1e-6)
	for _, pair := range [][2]string{{FrameBare, FrameTested}, {PanelBare, PanelTested}} {
		bare, tested := shot.Area(pair[0]), shot.Area(pair[1])
		moved := colour.DeltaE2000(bare.Lab, tested.Lab)
		// the two strips are different places on one board
		require.Less(t, colour.DeltaE2000(bare.After(opt.Wash, 1), tested.Lab), 0.6*moved, pair[1])
		require.Less(t, colour.DeltaE2000(bare.Lab, bare.After(opt.Wash, 0)), 1e-9)
		count, left := bare.BestCount(opt.Wash, bare.After(opt.Wash, 3), 8)
		require.Equal(t, 3, count)
		require.InDelta(t, 0, left, 1e-9)
	}
}

func BenchmarkShoot(b *testing.B) {
	scene, camera := Cabinet(CabinetOptions{Seed: 1}), DrawCamera(1, Mild)
	for b.Loop() {
		scene.Shoot(View{}, camera)
	}
	b.ReportMetric(float64(b.N)*1.92/b.Elapsed().Seconds(), "Mpx/s")
}

// A place that a camera sees in perspective is seen where it is, and straight ahead without a turn it is the plain view.
func TestPerspectiveAndBack(t *testing.T) {
	v := View{Focal: 1300, Turn: 22, Nod: -9, RollDegrees: 4, CentreX: 500, CentreY: 400, Scale: 0.8}.orDefault()
	for _, at := range []imageio.Point{{X: 0, Y: 0}, {X: 800, Y: 600}, {X: 1500, Y: 30}} {
		back := v.pixel(v.spot(at))
		require.InDelta(t, at.X, back.X, 1e-6)
		require.InDelta(t, at.Y, back.Y, 1e-6)
	}
	require.InDelta(t, 500, v.spot(imageio.Point{X: 800, Y: 600}).x, 1e-9)
	ahead, plain := View{Focal: 900}.orDefault(), View{}.orDefault()
	at := imageio.Point{X: 300, Y: 1100}
	require.InDelta(t, plain.spot(at).x, ahead.spot(at).x, 1e-9)
	require.InDelta(t, plain.spot(at).y, ahead.spot(at).y, 1e-9)
	// From the right the right half is nearer, and so larger.
	turned := View{Focal: 900, Turn: -20}.orDefault()
	middle := turned.pixel(spot{sceneWidth / 2, sceneHeight / 2})
	require.Greater(t, turned.pixel(spot{sceneWidth/2 + 100, sceneHeight / 2}).X-middle.X,
		middle.X-turned.pixel(spot{sceneWidth/2 - 100, sceneHeight / 2}).X)
}
