package slip

import (
	"math"

	"huewright/imageio"
	"huewright/imageio/internal/plane"
)

// A face is how a photo shows a slip: the homography of its frame's corners, and how far the middle of each side bends inwards,
// where the paper curls.
type face struct {
	corners [4]imageio.Point // of the frame, clockwise from the slip's top left
	plane   plane.Homography // of millimetres on the slip
	bend    [4]float64       // millimetres, of the top, right, bottom and left side
}

func faceOf(corners [4]imageio.Point, bend [4]float64) face {
	unit := plane.FromCorners(corners)
	unit.A, unit.B, unit.D, unit.E = unit.A/Side, unit.B/Side, unit.D/Side, unit.E/Side
	unit.G, unit.H = unit.G/Side, unit.H/Side
	return face{corners, unit, bend}
}

// point is where the photo shows a place on the slip.
func (f *face) point(x, y float64) imageio.Point {
	bow := func(v float64) float64 { return 4 * v / Side * (1 - v/Side) } // 1 in the middle, 0 at the ends
	bx, by, u, v := bow(x), bow(y), x/Side, y/Side
	dx := (1-u)*f.bend[3]*by - u*f.bend[1]*by
	dy := (1-v)*f.bend[0]*bx - v*f.bend[2]*bx
	return f.plane.Point(x+dx, y+dy)
}

// turned is the face with another corner as the top left one: so many corners further on.
func (f *face) turned(by int) face {
	var corners [4]imageio.Point
	var bend [4]float64
	for i := range 4 {
		corners[i], bend[i] = f.corners[(i+by)%4], f.bend[(i+by)%4]
	}
	return faceOf(corners, bend)
}

// shortest and longest are the lengths of the sides in pixels.
func (f *face) sides() (shortest, longest float64) {
	shortest = math.Inf(1)
	for i, p := range f.corners {
		d := distance(p, f.corners[(i+1)%4])
		shortest, longest = min(shortest, d), max(longest, d)
	}
	return shortest, longest
}

// convex reports whether the corners go round clockwise without a dent.
func (f *face) convex() bool {
	for i, p := range f.corners {
		if side(p, f.corners[(i+1)%4], f.corners[(i+2)%4]) <= 0 {
			return false
		}
	}
	return true
}

// A scene is a photo's light, read between pixels.
type scene struct{ photo *imageio.Photo }

// luminance is that of a place, linear between the middles of the four pixels round it; false off the photo.
func (s scene) luminance(at imageio.Point) (float64, bool) {
	x, y := at.X-0.5, at.Y-0.5
	fx, fy := math.Floor(x), math.Floor(y)
	i, j := int(fx), int(fy)
	if !(fx >= 0 && fy >= 0) || i+1 >= s.photo.Width || j+1 >= s.photo.Height {
		return 0, false
	}
	x, y = x-fx, y-fy
	four := s.photo.LinearSquare(i, j)
	upper := (1-x)*four[0].Luminance() + x*four[1].Luminance()
	lower := (1-x)*four[2].Luminance() + x*four[3].Luminance()
	return (1-y)*upper + y*lower, true
}

// mean is the mean luminance of n × n places on the slip round a middle, over a square of the given side; false off the photo.
func (s scene) mean(f *face, x, y, side float64, n int) (sum float64, ok bool) {
	for i := range n * n {
		u := (float64(i%n)+0.5)/float64(n) - 0.5
		v := (float64(i/n)+0.5)/float64(n) - 0.5
		light, on := s.luminance(f.point(x+side*u, y+side*v))
		if !on {
			return 0, false
		}
		sum += light / float64(n*n)
	}
	return sum, true
}
