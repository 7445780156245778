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

	// A camera that sees in perspective, from any side; it has no tilts. Its axis meets the scene in the view's centre.
	Focal     float64 // pixels; 0 means a camera as above
	Turn, Nod float64 // degrees, to the side and down

	// What stands out is seen nearer than what lies behind it, from the frame's face on which the axis ends. Only pictures have this:
	// areas, wholes and corners that come with a shot are those of a flat scene.
	relief bool
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
	if v.Focal > 0 {
		return v.seen(px, 0)
	}
	sin, cos := math.Sincos(v.RollDegrees * math.Pi / 180)
	a, b := v.Scale*(px.X-float64(v.Width)/2), v.Scale*(px.Y-float64(v.Height)/2)
	x, y := a*cos-b*sin, a*sin+b*cos
	w := 1 + (v.TiltX*x+v.TiltY*y)/1000
	return spot{v.CentreX + x/w, v.CentreY + y/w}
}

// pixel is the inverse of spot: q = p/(1 + t·p) gives p = q/(1 − t·q).
func (v View) pixel(s spot) imageio.Point {
	if v.Focal > 0 {
		return v.pixelBehind(s, 0)
	}
	sin, cos := math.Sincos(v.RollDegrees * math.Pi / 180)
	x, y := s.x-v.CentreX, s.y-v.CentreY
	w := 1 - (v.TiltX*x+v.TiltY*y)/1000
	x, y = x/w/v.Scale, y/w/v.Scale
	return imageio.Point{X: x*cos + y*sin + float64(v.Width)/2, Y: y*cos - x*sin + float64(v.Height)/2}
}

// pixelBehind is pixel for a camera that sees in perspective, of a spot that lies so many millimetres behind the scene's plane.
func (v View) pixelBehind(s spot, behind float64) imageio.Point {
	axes, away := v.axes(), v.Focal*v.Scale
	var on [3]float64 // the spot from the camera, along its axes
	for k, axis := range axes {
		on[k] = axis[0]*(s.x-v.CentreX) + axis[1]*(s.y-v.CentreY) + axis[2]*behind
	}
	on[2] += away
	return imageio.Point{X: v.Focal*on[0]/on[2] + float64(v.Width)/2, Y: v.Focal*on[1]/on[2] + float64(v.Height)/2}
}

// axes are the directions right, down and ahead of a camera that sees in perspective, in the scene's own right, down and into the wall.
func (v View) axes() [3][3]float64 {
	sr, cr := math.Sincos(v.RollDegrees * math.Pi / 180)
	st, ct := math.Sincos(v.Turn * math.Pi / 180)
	sn, cn := math.Sincos(v.Nod * math.Pi / 180)
	right, down, ahead := [3]float64{ct, 0, -st}, [3]float64{-st * sn, cn, -ct * sn}, [3]float64{st * cn, sn, ct * cn}
	var turned [3][3]float64
	for k := range 3 {
		turned[0][k], turned[1][k], turned[2][k] = cr*right[k]+sr*down[k], cr*down[k]-sr*right[k], ahead[k]
	}
	return turned
}

// seen is spot for a camera that sees in perspective, on a plane so many millimetres behind the scene's.
func (v View) seen(px imageio.Point, behind float64) spot {
	axes, away := v.axes(), v.Focal*v.Scale
	x, y := px.X-float64(v.Width)/2, px.Y-float64(v.Height)/2
	var along, camera [3]float64 // the ray, and where the camera stands from the centre
	for k := range 3 {
		along[k] = x*axes[0][k] + y*axes[1][k] + v.Focal*axes[2][k]
		camera[k] = -away * axes[2][k]
	}
	reach := (behind - camera[2]) / along[2]
	return spot{v.CentreX + camera[0] + reach*along[0], v.CentreY + camera[1] + reach*along[1]}
}
