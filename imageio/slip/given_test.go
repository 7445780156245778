package slip_test

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/imageio/slip"
	"huewright/internal/contexttest"
	"huewright/internal/fault"
	"huewright/internal/figure"
)

// Slips in real photos are read by corners that are off by as much as a finger is, beginning anywhere and going round either way: those
// that are found and those that are not. Beside the slips nothing is read.
func TestSlipsAreReadAtGivenCorners(t *testing.T) {
	photos := backgrounds(t)
	marked, read, beside := 0, 0, 0
	for i := range figure.Draws(4, 40) {
		seed := uint64(firstTestSeed + 50_000 + i)
		d := drawScene(t, pictureOf(photos[int(seed*7)%len(photos)], 1200), seed,
			sceneOptions{sizes: [2]float64{60, 240}, tilt: 50, curl: 0.2, most: 6})
		rng := rand.New(rand.NewPCG(seed, 1))
		for k := range d.laid {
			l := &d.laid[k]
			truth := l.corners()
			marked++
			given := dragged(rng, truth, 0.08*l.pixels)
			s, err := slip.At(t.Context(), d.photo, given)
			if err != nil {
				require.True(t, fault.Is(err, "slip.not-there"), err)
				t.Logf("not read: %v of %.0f pixels, tilted %.0f°", l.Design, l.pixels, l.tilt*180/math.Pi)
				continue
			}
			require.Equal(t, l.Design, s.Design)
			require.Less(t, worst(s.Corners, truth), 0.05*l.pixels)
			read++
		}
		for range 20 {
			at := imageio.Point{X: rng.Float64() * 1000, Y: rng.Float64() * 700}
			square := [4]imageio.Point{at, {X: at.X + 120, Y: at.Y}, {X: at.X + 120, Y: at.Y + 120}, {X: at.X, Y: at.Y + 120}}
			middle := imageio.Point{X: at.X + 60, Y: at.Y + 60}
			if slices.ContainsFunc(d.laid, func(l laid) bool {
				x, y := l.project(slip.Side/2, slip.Side/2)
				return math.Hypot(x-middle.X, y-middle.Y) < l.pixels
			}) {
				continue
			}
			beside++
			_, err := slip.At(t.Context(), d.photo, square)
			require.True(t, fault.Is(err, "slip.not-there"), err)
		}
	}
	t.Logf("read %d of %d; none beside them at %d places", read, marked, beside)
	figure.AtLeast(t, 0.9, float64(read)/float64(marked), float64(marked))
}

// dragged are corners as a finger leaves them: each off by as much as by, the first any of them, round either way.
func dragged(rng *rand.Rand, truth [4]imageio.Point, by float64) (corners [4]imageio.Point) {
	first, way := rng.IntN(4), 1+2*rng.IntN(2)
	for i := range corners {
		sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
		corners[i] = truth[(first+way*i)%4]
		corners[i].X, corners[i].Y = corners[i].X+by*cos, corners[i].Y+by*sin
	}
	return corners
}

// Corners that go nowhere are refused, and reading stops with its context.
func TestCornersOfNoSlip(t *testing.T) {
	pic := greyPicture(400, 300)
	d := drawScene(t, pic, 1, sceneOptions{sizes: [2]float64{120, 121}, most: 1})
	for _, wrong := range [][4]imageio.Point{
		{}, {{X: 1, Y: 1}, {X: 2, Y: 2}, {X: 3, Y: 3}, {X: 4, Y: 4}},
		{{X: -1e9, Y: 0}, {X: 1e9, Y: 0}, {X: 1e9, Y: 1e9}, {X: -1e9, Y: 1e9}}, {{X: math.NaN()}, {X: 1}, {Y: 1}, {X: 1, Y: 1}},
	} {
		_, err := slip.At(t.Context(), d.photo, wrong)
		require.True(t, fault.Is(err, "slip.not-there"), wrong)
	}
	truth := d.laid[0].corners()
	s, err := slip.At(t.Context(), d.photo, truth)
	require.NoError(t, err)
	require.Equal(t, d.laid[0].Design, s.Design)
	contexttest.RequireStops(t, func(ctx context.Context) error { _, err := slip.At(ctx, d.photo, truth); return err })
}
