package carry

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
)

// box is the outline of a rectangle of a plane so many millimetres behind that of the slips, as a camera sees it.
func box(l *lens, p *pose, x0, y0, x1, y1, behind float64) (o imageio.Outline) {
	h := l.behind(p, behind)
	for _, c := range [4]imageio.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}} {
		o.Points = append(o.Points, h.Point(c.X, c.Y))
	}
	return o
}

// seenTwice is a relief of two slips on its frame as two photos by the same camera show it, with the lens and both poses. Nothing else
// is in it yet.
func seenTwice(rng *rand.Rand) (r relief, l lens, a, b pose) {
	l = lens{imageio.Point{X: 800, Y: 600}, 1250}
	a, b = pose{0.05, -0.2, 0.02, -300, -310, 900}, pose{-0.1, 0.25, -0.01, -280, -290, 1000}
	at := []imageio.Point{{X: 30, Y: 480}, {X: 520, Y: 60}}
	slips := shared(seenBy(&l, &a, at, rng, 0.3), seenBy(&l, &b, at, rng, 0.3))
	return relief{slips: slips, from: l, to: l, noise: 1}, l, a, b
}

// A panel 9 mm behind its frame, a drawer's front 6 mm before it, and a rail of which nothing is seen: two slips on the frame, places that
// are found again, a fifth of them wrongly. Each lies where it belongs, and of the rail it is said that nobody knows.
func TestReliefIsTold(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 0x4e11))
	r, l, a, b := seenTwice(rng)
	boxes := []struct {
		x0, y0, x1, y1, behind float64
		places                 int
	}{{20, 20, 580, 130, 0, 30}, {80, 160, 300, 450, 9, 30}, {320, 160, 520, 450, -6, 30}, {20, 560, 580, 590, 0, 2}}
	for n, at := range boxes {
		r.outlines = append(r.outlines, box(&l, &a, at.x0, at.y0, at.x1, at.y1, at.behind))
		first, second := l.behind(&a, at.behind), l.behind(&b, at.behind)
		for i := range at.places {
			x, y := at.x0+(at.x1-at.x0)*rng.Float64(), at.y0+(at.y1-at.y0)*rng.Float64()
			f := pair{from: first.Point(x, y), to: second.Point(x, y)}
			f.to.X, f.to.Y = f.to.X+0.5*rng.NormFloat64(), f.to.Y+0.5*rng.NormFloat64()
			if i%5 == 4 {
				f.to.X += 8 * rng.NormFloat64()
			}
			r.found, r.on = append(r.found, f), append(r.on, n)
		}
	}
	best := r
	for i, start := range poses(t.Context(), r.slips, l, l) {
		try := r
		try.settle(t.Context(), start)
		if i == 0 || try.cost < best.cost {
			best = try
		}
	}
	h, _ := bySlips(r.slips)
	m := &Match{plane: h, outlines: r.outlines, from: &picture{photo: &imageio.Photo{Width: 1600, Height: 1200}}}
	m.takeRelief(&best, 1, 1600)
	require.Equal(t, []bool{false, false, false, true}, m.untold)
	for n, at := range boxes[:3] {
		require.InDelta(t, at.behind, best.x[best.outlineAt()+n], 2.5, n)
		want := box(&l, &b, at.x0, at.y0, at.x1, at.y1, at.behind)
		for k, p := range m.Outline(n).Points {
			require.Less(t, distance(p, want.Points[k]), 0.004*1600, "%d, %d", n, k)
		}
	}
}

// A face that is flat stays on its one plane.
func TestFlatFaceHasNoRelief(t *testing.T) {
	rng := rand.New(rand.NewPCG(10, 0x4e11))
	r, l, a, b := seenTwice(rng)
	first, second := l.homography(&a), l.homography(&b)
	for n := range 3 {
		x0 := 20 + 190*float64(n)
		r.outlines = append(r.outlines, box(&l, &a, x0, 150, x0+160, 450, 0))
		for range 25 {
			x, y := x0+160*rng.Float64(), 150+300*rng.Float64()
			f := pair{from: first.Point(x, y), to: second.Point(x, y)}
			f.to.X, f.to.Y = f.to.X+0.5*rng.NormFloat64(), f.to.Y+0.5*rng.NormFloat64()
			r.found, r.on = append(r.found, f), append(r.on, n)
		}
	}
	r.settle(t.Context(), poses(t.Context(), r.slips, l, l)[0])
	h, ok := through(r.found)
	require.True(t, ok)
	m := &Match{plane: h, outlines: r.outlines, from: &picture{photo: &imageio.Photo{Width: 1600, Height: 1200}}}
	m.takeRelief(&r, 1, 1600)
	require.Nil(t, m.planes)
}
