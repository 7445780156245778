package region

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
)

// patchy is a grid of random blobs, with holes and corners that touch.
func patchy(rng *rand.Rand, wide, high int) *grid {
	type blob struct {
		x, y, r float64
		in      bool
	}
	var blobs []blob
	for range 3 + rng.IntN(12) {
		blobs = append(blobs, blob{float64(wide) * rng.Float64(), float64(high) * rng.Float64(), 1 + 8*rng.Float64(), rng.IntN(3) > 0})
	}
	return newGrid(wide, high, func(x, y int) (in bool) {
		for _, b := range blobs {
			if dx, dy := float64(x)-b.x, float64(y)-b.y; dx*dx+dy*dy < b.r*b.r {
				in = b.in
			}
		}
		return in != (rng.IntN(40) == 0)
	})
}

// Rings enclose the pixels that they were drawn round, holes taken off, and no ring crosses itself; with few corners they do nearly.
func TestRingsEncloseTheirPixels(t *testing.T) {
	for seed := range uint64(200) {
		g := patchy(rand.New(rand.NewPCG(seed, 1)), 40, 30)
		g.closeCorners()
		covered := make([]int, len(g.in))
		for _, rings := range g.rings() {
			for _, ring := range rings {
				require.NoError(t, (imageio.Outline{Points: thinned(ring, 0)}).Check(), "seed %d", seed)
				require.NoError(t, (imageio.Outline{Points: simple(ring, 1)}).Check(), "seed %d", seed)
				for _, s := range (imageio.Outline{Points: thinned(ring, 0)}).Spans(40, 30) {
					for x := s.X0; x < s.X1; x++ {
						covered[(s.Y+1)*g.wide+x+1]++
					}
				}
			}
		}
		for i, in := range g.in {
			require.Equal(t, in, covered[i]%2 == 1, "seed %d, pixel %d", seed, i)
		}
	}
}

// A corner that a ring loses was never farther off than it says.
func TestThinnedStaysNear(t *testing.T) {
	ring := []imageio.Point{{X: 0, Y: 0}, {X: 5, Y: 0.4}, {X: 10, Y: 0}, {X: 10, Y: 10}, {X: 5, Y: 8}, {X: 0, Y: 10}}
	require.Equal(t, []imageio.Point{{X: 0, Y: 0}, {X: 10, Y: 0}, {X: 10, Y: 10}, {X: 5, Y: 8}, {X: 0, Y: 10}}, thinned(ring, 1))
	require.Len(t, thinned(ring, 0.1), 6)
}

// What a mask is drawn in by leaves nothing beside its edge, but for the edge of the photo.
func TestShrink(t *testing.T) {
	g := newGrid(12, 12, func(x, y int) bool { return x < 8 && y > 2 })
	g.shrink(2)
	for y := range 12 {
		for x := range 12 {
			require.Equal(t, x < 6 && y > 4, g.in[(y+1)*g.wide+x+1], "%d,%d", x, y)
		}
	}
}
