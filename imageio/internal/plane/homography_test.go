package plane

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
)

// Corners go to corners, and the middle of the square to where the diagonals cross: straight lines stay straight.
func TestFromCorners(t *testing.T) {
	q := [4]imageio.Point{{X: 120, Y: 80}, {X: 980, Y: 140}, {X: 900, Y: 660}, {X: 150, Y: 560}}
	h := FromCorners(q)
	for i, corner := range [4]imageio.Point{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: 1, Y: 1}, {X: 0, Y: 1}} {
		got := h.Point(corner.X, corner.Y)
		require.InDelta(t, q[i].X, got.X, 1e-9)
		require.InDelta(t, q[i].Y, got.Y, 1e-9)
	}
	middle := h.Point(0.5, 0.5)
	for i := range 2 {
		a, b := q[i], q[i+2]
		across := (b.X-a.X)*(middle.Y-a.Y) - (b.Y-a.Y)*(middle.X-a.X)
		require.InDelta(t, 0, across/math.Hypot(b.X-a.X, b.Y-a.Y), 1e-9, "off the diagonal, in pixels")
	}
}

func TestInverse(t *testing.T) {
	h := FromCorners([4]imageio.Point{{X: 120, Y: 80}, {X: 980, Y: 140}, {X: 900, Y: 660}, {X: 150, Y: 560}})
	for _, at := range []imageio.Point{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: 0.3, Y: 0.8}, {X: 1.4, Y: -0.2}, {X: -0.6, Y: 0.5}} {
		u, v, ok := h.Inverse(h.Point(at.X, at.Y))
		require.True(t, ok)
		require.InDelta(t, at.X, u, 1e-9)
		require.InDelta(t, at.Y, v, 1e-9)
	}
}

// Many points of a plane give the homography that four of its corners give.
func TestFit(t *testing.T) {
	want := FromCorners([4]imageio.Point{{X: 120, Y: 80}, {X: 980, Y: 140}, {X: 900, Y: 660}, {X: 150, Y: 560}})
	var places, seen []imageio.Point
	for i := range 24 {
		p := imageio.Point{X: float64(i%6) / 5, Y: float64(i/6) / 3}
		places, seen = append(places, p), append(seen, want.Point(p.X, p.Y))
	}
	got, ok := Fit(places, seen)
	require.True(t, ok)
	for i, p := range places {
		require.InDelta(t, seen[i].X, got.Point(p.X, p.Y).X, 1e-6)
		require.InDelta(t, seen[i].Y, got.Point(p.X, p.Y).Y, 1e-6)
	}
	_, ok = Fit(places[:6], seen[:6])
	require.False(t, ok, "six points on a line")
}

func TestThenAndInverted(t *testing.T) {
	h := FromCorners([4]imageio.Point{{X: 120, Y: 80}, {X: 980, Y: 140}, {X: 900, Y: 660}, {X: 150, Y: 560}})
	g := Homography{A: 0.9, B: 0.1, C: 30, D: -0.2, E: 1.1, F: -4, G: 1e-4, H: -2e-4}
	both, back := h.Then(&g), h.Inverted()
	for _, at := range []imageio.Point{{X: 0.1, Y: 0.2}, {X: 0.9, Y: 0.4}} {
		first := h.Point(at.X, at.Y)
		want, got := g.Point(first.X, first.Y), both.Point(at.X, at.Y)
		require.InDelta(t, want.X, got.X, 1e-9)
		require.InDelta(t, want.Y, got.Y, 1e-9)
		again := back.Point(first.X, first.Y)
		require.InDelta(t, at.X, again.X, 1e-9)
		require.InDelta(t, at.Y, again.Y, 1e-9)
	}
}
