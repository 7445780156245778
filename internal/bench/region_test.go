package bench

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	gonum "gonum.org/v1/gonum/stat"

	"huewright/imageio"
	"huewright/imageio/region"
	"huewright/internal/figure"
	"huewright/internal/stat"
)

// overlap is intersection over union of a mask and a truth, on a lattice of pixels.
func overlap(m *region.Mask, p *imageio.Photo, truth func(imageio.Point) bool) float64 {
	both, either := 0, 0
	for y := 0.5; y < float64(p.Height); y += 2 {
		for x := 0.5; x < float64(p.Width); x += 2 {
			at := imageio.Point{X: x, Y: y}
			a, b := m.Contains(at), truth(at)
			if a && b {
				both++
			}
			if a || b {
				either++
			}
		}
	}
	return float64(both) / float64(either)
}

// tapOn is a random place on a wood, away from its edges.
func tapOn(rng *rand.Rand, p *imageio.Photo, truth func(imageio.Point) bool) imageio.Point {
	const away = 6
	for {
		at := imageio.Point{X: rng.Float64() * float64(p.Width), Y: rng.Float64() * float64(p.Height)}
		if truth(at) && truth(imageio.Point{X: at.X - away, Y: at.Y}) && truth(imageio.Point{X: at.X + away, Y: at.Y}) &&
			truth(imageio.Point{X: at.X, Y: at.Y - away}) && truth(imageio.Point{X: at.X, Y: at.Y + away}) {
			return at
		}
	}
}

// panelTold is the panel, of which the test coats are told.
const panelTold = "panel, coats told"

// unseen is the first seed of cabinets that nothing was tuned on.
const unseen = 3000

// All of a wood is taken from one tap: the frame, and the panel of the door that was tapped, once when nothing is known of the photo and
// once, as where a piece file names them, when the test coats' areas are known to be no bare wood. Of test coats on the panel two in five
// are of its own colour, and no less even than it is: nobody sees them, and they are taken with it unless they are told. 0.7 is a guard;
// 0.93 and 0.97 were asked, and how near it comes is a figure.
func TestTapTakesTheWood(t *testing.T) {
	of := map[string][]float64{}
	var corners []float64 // the share of the filled corner that is taken with the frame
	for seed := range uint64(figure.Draws(3, 60)) {
		seed += unseen
		rng := rand.New(rand.NewPCG(seed, 0x7a9))
		scene := Cabinet(DrawCabinet(seed))
		v := View{
			Width: 1280, Height: 960, SamplesPerSide: 1, TiltX: 0.03 * rng.NormFloat64(), TiltY: 0.03 * rng.NormFloat64(),
		}.orDefault()
		shot := scene.Shoot(v, DrawCamera(seed, Phone))
		photo, err := imageio.Decode(t.Context(), shot.JPEG, "cabinet.jpg")
		require.NoError(t, err)
		cells, err := region.Divide(t.Context(), photo)
		require.NoError(t, err)
		onLeft := func(at imageio.Point) bool { return v.spot(at).x < (left+right)/2 }
		for _, wood := range []string{Frame, Panel} {
			whole := func(at imageio.Point) bool { return scene.WoodAt(v, at) == wood }
			tap := region.Tap{At: tapOn(rng, photo, whole)}
			mask, err := cells.Take(t.Context(), []region.Tap{tap}, nil)
			require.NoError(t, err)
			truth := whole
			if wood == Panel {
				truth = func(at imageio.Point) bool { return whole(at) && onLeft(at) == onLeft(tap.At) }
			} else {
				corners = append(corners, taken(mask, shot.Area(Corner).Outline.Spans(photo.Width, photo.Height)))
			}
			if wood == Panel {
				coats := []imageio.Outline{shot.Area(PanelTested).Outline, shot.Area(FrameTested).Outline}
				told, err := cells.Take(t.Context(), []region.Tap{tap}, coats)
				require.NoError(t, err)
				of[panelTold] = append(of[panelTold], overlap(told, photo, truth))
			}
			iou := overlap(mask, photo, truth)
			t.Logf("%s of cabinet %d from %.0f: %.2f", wood, seed, tap.At, iou)
			of[wood] = append(of[wood], iou)
		}
	}
	for _, wood := range []string{Frame, Panel, panelTold} {
		worst := stat.Quantile(of[wood], 0.1)
		figure.Report(t, "taps/"+wood, "%.2f (worst tenth %.2f)", gonum.Mean(of[wood], nil), worst)
		require.Greater(t, worst, 0.7)
	}
	out := 0.0
	for _, share := range corners {
		if share < 0.5 {
			out++
		}
	}
	figure.Report(t, "taps/corner left out", "%.0f %%", 100*out/float64(len(corners)))
	figure.AtLeast(t, 0.5, out/float64(len(corners)), float64(len(corners)))
}

// taken is the share of some pixels that a mask covers.
func taken(m *region.Mask, spans []imageio.Span) float64 {
	in := 0
	for _, s := range spans {
		for x := s.X0; x < s.X1; x++ {
			if m.Contains(imageio.Pixel{X: int32(x), Y: int32(s.Y)}.Centre()) {
				in++
			}
		}
	}
	return float64(in) / float64(imageio.CountPixels(spans))
}
