package chart

import (
	"math"

	"huewright/imageio"
	"huewright/imageio/internal/plane"
)

// A Scale says how large things on one flat face are. What lies nearer to the camera than that
// face looks larger than it is, by the share of the distance it is nearer.
type Scale struct {
	mm func(imageio.Point) (imageio.Point, bool) // on the face, from anywhere; false beyond its horizon
}

// chartGap is the gap between two patches as a share of their pitch, for the proportions of
// the patch field. Common practice, no source; 0.05 more or less changes an area by 0.3 %.
const chartGap = 0.13

// ScaleByChart is the scale on the plane of a chart whose patch field is widthMM wide along its
// rows of six, from outer edge to outer edge. The corners are those of [Fit].
func ScaleByChart(corners [4]imageio.Point, widthMM float64) Scale {
	face := plane.FromCorners(corners)
	heightMM := widthMM * (chartRows - chartGap) / (chartColumns - chartGap)
	return Scale{func(at imageio.Point) (imageio.Point, bool) {
		u, v, ok := face.Inverse(at)
		return imageio.Point{X: u * widthMM, Y: v * heightMM}, ok
	}}
}

// ScaleBySquare is the scale on the plane of a square with sides of sideMM, by its corners in turn.
func ScaleBySquare(corners [4]imageio.Point, sideMM float64) Scale {
	face := plane.FromCorners(corners)
	return Scale{func(at imageio.Point) (imageio.Point, bool) {
		u, v, ok := face.Inverse(at)
		return imageio.Point{X: u * sideMM, Y: v * sideMM}, ok
	}}
}

// ScaleByLength is the scale on a face that the camera looks at squarely, from two points of
// the photo that are lengthMM apart.
func ScaleByLength(from, to imageio.Point, lengthMM float64) Scale {
	k := lengthMM / math.Hypot(to.X-from.X, to.Y-from.Y)
	return Scale{func(at imageio.Point) (imageio.Point, bool) { return imageio.Point{X: k * at.X, Y: k * at.Y}, true }}
}

// SquareMetres is the size of an outlined area without its holes. It is false when the face
// the scale is of ends before the area does.
func (s Scale) SquareMetres(o imageio.Outline) (float64, bool) {
	size, ok := s.size(o.Points)
	for _, part := range o.More {
		more, moreToo := s.size(part)
		size, ok = size+more, ok && moreToo
	}
	for _, hole := range o.Holes {
		inner, holeToo := s.size(hole)
		size, ok = size-inner, ok && holeToo
	}
	return size, ok
}

// size is the area of a polygon: straight edges stay straight on the face, so its corners are
// enough.
func (s Scale) size(points []imageio.Point) (float64, bool) {
	sum := 0.0
	for i := range points {
		a, okA := s.mm(points[i])
		b, okB := s.mm(points[(i+1)%len(points)])
		if !okA || !okB {
			return 0, false
		}
		sum += a.X*b.Y - b.X*a.Y
	}
	return math.Abs(sum) / 2 / 1e6, true
}

// Centre is the middle of a chart's patch field on the photo.
func Centre(corners [4]imageio.Point) imageio.Point { return plane.Centre(corners) }
