package chart

import (
	"fmt"
	"math"

	"huewright/imageio"
)

// A CornersError reports chart corners that cannot be meant as they were given.
type CornersError struct {
	Path    string // of the photo, as the user gave it
	Problem string
	Advice  string
}

func (e *CornersError) Error() string { return imageio.JoinPath(e.Path, "chart corners: "+e.Problem) }

// Hint says what to do next.
func (e *CornersError) Hint() string { return e.Advice }

const cornersAdvice = "give the outer corners of the patch field, beginning at the dark-brown patch, " +
	"along its row of six to the bluish-green one, then round"

func checkCorners(p *imageio.Photo, q [4]imageio.Point) error {
	for i, c := range q {
		if !(c.X >= 0 && c.Y >= 0 && c.X <= float64(p.Width) && c.Y <= float64(p.Height)) {
			problem := fmt.Sprintf("corner %d at %g,%g is outside the photo, which is %d × %d", i+1, c.X, c.Y, p.Width, p.Height)
			return &CornersError{p.Path, problem, cornersAdvice}
		}
	}
	if !convex(q) {
		return &CornersError{
			p.Path, "they do not go round a rectangle seen from somewhere",
			"go round the chart in one direction, without crossing over; " + cornersAdvice,
		}
	}
	if side := shortestSide(q); side < leastPatchSide {
		return &CornersError{
			p.Path, fmt.Sprintf("a patch is only %.1f pixels wide, need %d", side, leastPatchSide),
			"take the photo from nearer, or mark the corners of the whole patch field",
		}
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
