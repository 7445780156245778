package bench

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

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

// All of a wood is taken from one tap.
func TestTapTakesTheWood(t *testing.T) {
	n := figure.Draws(3, 60)
	of := map[string][]float64{}
	for seed := range uint64(n) {
		rng := rand.New(rand.NewPCG(seed, 0x7a9))
		scene := Cabinet(DrawCabinet(seed))
		v := View{Width: 1280, Height: 960, SamplesPerSide: 1, TiltX: 0.03 * rng.NormFloat64(), TiltY: 0.03 * rng.NormFloat64()}
		shot := scene.Shoot(v, DrawCamera(seed, Phone))
		photo, err := imageio.Decode(t.Context(), shot.JPEG, "cabinet.jpg")
		require.NoError(t, err)
		cells, err := region.Divide(t.Context(), photo)
		require.NoError(t, err)
		for _, wood := range []string{Frame, Panel} {
			truth := func(at imageio.Point) bool { return scene.WoodAt(v, at) == wood }
			tap := region.Tap{At: tapOn(rng, photo, truth)}
			if left := v.orDefault().spot(tap.At).x < 645; wood == Panel { // of the one door
				truth = func(at imageio.Point) bool {
					return scene.WoodAt(v, at) == Panel && v.orDefault().spot(at).x < 645 == left
				}
			}
			mask, err := cells.Take(t.Context(), []region.Tap{tap}, nil)
			require.NoError(t, err)
			of[wood] = append(of[wood], overlap(mask, photo, truth))
		}
	}
	for _, wood := range []string{Frame, Panel} {
		worst := stat.Quantile(of[wood], 0.1)
		figure.Report(t, "taps/"+wood, "%.2f (worst tenth %.2f)", meanOf(of[wood]), worst)
		require.Greater(t, worst, 0.7)
	}
}

func meanOf(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}
