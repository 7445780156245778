package chart

import (
	"math"

	"huewright/imageio"
	"huewright/internal/fault"
)

// checkCorners refuses, as a fault of kind Use, corners that cannot be meant.
func checkCorners(p *imageio.Photo, q [4]imageio.Point) error {
	in := fault.Place{File: p.Path}
	for i, c := range q {
		if !(c.X >= 0 && c.Y >= 0 && c.X <= float64(p.Width) && c.Y <= float64(p.Height)) {
			return fault.In(fault.New(fault.Use, "chart.corner-outside", "corner", i+1, "x", c.X, "y", c.Y,
				"wide", p.Width, "high", p.Height), in)
		}
	}
	if !convex(q) {
		return fault.In(fault.New(fault.Use, "chart.corners-cross"), in)
	}
	if side := shortestSide(q); side < leastPatchSide {
		return fault.In(fault.New(fault.Use, "chart.corners-close", "side", side, "need", leastPatchSide), in)
	}
	return nil
}

// convex reports whether all four turns go the same way and none is flat.
func convex(q [4]imageio.Point) bool {
	turns := 0
	for i := range q {
		a, b, c := q[i], q[(i+1)%4], q[(i+2)%4]
		ab, bc := imageio.Point{X: b.X - a.X, Y: b.Y - a.Y}, imageio.Point{X: c.X - b.X, Y: c.Y - b.Y}
		sine := (ab.X*bc.Y - ab.Y*bc.X) / (math.Hypot(ab.X, ab.Y) * math.Hypot(bc.X, bc.Y))
		switch {
		case sine > 0.1:
			turns++
		case sine < -0.1:
			turns--
		}
	}
	return turns == 4 || turns == -4
}

// leastPatchSide is the smallest patch, in pixels along a side, of which the core is more than the smear of a
// lens and of JPEG's blocks.
const leastPatchSide = 8

// shortestSide is the length of the shortest edge of a patch anywhere on the chart, in pixels.
func shortestSide(q [4]imageio.Point) float64 {
	shortest := math.Inf(1)
	for i, patches := range []float64{chartColumns, chartRows, chartColumns, chartRows} {
		next := q[(i+1)%4]
		shortest = min(shortest, math.Hypot(next.X-q[i].X, next.Y-q[i].Y)/patches)
	}
	return shortest
}
