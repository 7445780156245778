package bench

import (
	"math"

	"huewright/imageio"
)

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
