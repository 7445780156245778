package bench

import (
	"math"

	"huewright/imageio"
)

// A spot is a place in the scene: millimetres on the plane of the wall, from the top left.
type spot struct{ x, y float64 }

// A shape is a polygon of spots.
type shape []spot

func rect(x, y, w, h float64) shape {
	return shape{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}
}

func disc(x, y, radius float64) shape {
	s := make(shape, 40)
	for i := range s {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(len(s)))
		s[i] = spot{x + radius*cos, y + radius*sin}
	}
	return s
}

// blob is a disc with a wandering edge, up to rough of its radius.
func blob(n noise, x, y, rx, ry, rough float64) shape {
	s := make(shape, 72)
	for i := range s {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(len(s)))
		r := 1 + rough*n.octaves(2*cos, 2*sin, 3)
		s[i] = spot{x + r*rx*cos, y + r*ry*sin}
	}
	return s
}

// turned is s turned clockwise about a spot.
func (s shape) turned(degrees float64, about spot) shape {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	out := make(shape, len(s))
	for i, p := range s {
		dx, dy := p.x-about.x, p.y-about.y
		out[i] = spot{about.x + dx*cos - dy*sin, about.y + dx*sin + dy*cos}
	}
	return out
}

// contains counts crossings to the right of the spot: odd is inside.
func (s shape) contains(x, y float64) bool {
	in := false
	for i, j := 0, len(s)-1; i < len(s); j, i = i, i+1 {
		a, b := s[i], s[j]
		if (a.y > y) != (b.y > y) && x < a.x+(y-a.y)/(b.y-a.y)*(b.x-a.x) {
			in = !in
		}
	}
	return in
}

// A box is the smallest upright rectangle round a shape.
type box struct{ x0, y0, x1, y1 float64 }

func (s shape) box() box {
	b := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, p := range s {
		b.x0, b.y0 = min(b.x0, p.x), min(b.y0, p.y)
		b.x1, b.y1 = max(b.x1, p.x), max(b.y1, p.y)
	}
	return b
}

func (b box) contains(x, y float64) bool { return x >= b.x0 && x < b.x1 && y >= b.y0 && y < b.y1 }

func (b box) meets(c box) bool { return b.x0 < c.x1 && c.x0 < b.x1 && b.y0 < c.y1 && c.y0 < b.y1 }

func (b box) grown(by float64) box { return box{b.x0 - by, b.y0 - by, b.x1 + by, b.y1 + by} }

func (b box) moved(dx, dy float64) box { return box{b.x0 + dx, b.y0 + dy, b.x1 + dx, b.y1 + dy} }

// soft is how far inside the box a spot is: 1 well inside, 0 well outside, ½ on an edge, and
// a smooth slope of the given width in between.
func (b box) soft(x, y, width float64) float64 {
	h := width / 2
	if x <= b.x0-h || x >= b.x1+h || y <= b.y0-h || y >= b.y1+h {
		return 0
	}
	return ramp(b.x0-h, b.x0+h, x) * ramp(b.x1+h, b.x1-h, x) * ramp(b.y0-h, b.y0+h, y) * ramp(b.y1+h, b.y1-h, y)
}

// softRound is soft for the ellipse that fills the box.
func (b box) softRound(x, y, width float64) float64 {
	rx, ry := (b.x1-b.x0)/2, (b.y1-b.y0)/2
	from := math.Hypot((x-b.x0-rx)/rx, (y-b.y0-ry)/ry)
	h := width / 2 / min(rx, ry)
	return ramp(1+h, 1-h, from)
}

// A View is where the camera stands and what it has in the frame.
// Tilts are how much the scale changes over a metre; a hand-held photo has a few per cent.
type View struct {
	Width, Height  int     // of the picture, pixels; 0 means 1600 × 1200
	CentreX        float64 // of what is in the frame, mm; both centres 0 means the whole scene
	CentreY        float64
	Scale          float64 // mm a pixel at the centre; 0 means the whole scene's width
	TiltX, TiltY   float64 // 1/m
	RollDegrees    float64
	SamplesPerSide int // of each pixel, against jagged edges; 0 means 2
}

func (v View) orDefault() View {
	if v.Width == 0 || v.Height == 0 {
		v.Width, v.Height = 1600, 1200
	}
	if v.CentreX == 0 && v.CentreY == 0 {
		v.CentreX, v.CentreY = sceneWidth/2, sceneHeight/2
	}
	if v.Scale == 0 {
		v.Scale = sceneWidth / float64(v.Width)
	}
	if v.SamplesPerSide == 0 {
		v.SamplesPerSide = 2
	}
	return v
}

// sample is the kth place inside a pixel, of SamplesPerSide squared.
func (v View) sample(x, y, k int) imageio.Point {
	n := v.SamplesPerSide
	return imageio.Point{X: float64(x) + (float64(k%n)+0.5)/float64(n), Y: float64(y) + (float64(k/n)+0.5)/float64(n)}
}

// spot is what a place on the picture shows. With p the place from the picture's middle in
// millimetres at its scale, and t the tilt, it lies at p/(1 + t·p) from the view's centre.
func (v View) spot(px imageio.Point) spot {
	sin, cos := math.Sincos(v.RollDegrees * math.Pi / 180)
	a, b := v.Scale*(px.X-float64(v.Width)/2), v.Scale*(px.Y-float64(v.Height)/2)
	x, y := a*cos-b*sin, a*sin+b*cos
	w := 1 + (v.TiltX*x+v.TiltY*y)/1000
	return spot{v.CentreX + x/w, v.CentreY + y/w}
}

// pixel is the inverse of spot: q = p/(1 + t·p) gives p = q/(1 − t·q).
func (v View) pixel(s spot) imageio.Point {
	sin, cos := math.Sincos(v.RollDegrees * math.Pi / 180)
	x, y := s.x-v.CentreX, s.y-v.CentreY
	w := 1 - (v.TiltX*x+v.TiltY*y)/1000
	x, y = x/w/v.Scale, y/w/v.Scale
	return imageio.Point{X: x*cos + y*sin + float64(v.Width)/2, Y: y*cos - x*sin + float64(v.Height)/2}
}
