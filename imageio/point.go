package imageio

// Point is a place on a photo in upright pixels. The origin is the top-left corner of the
// top-left pixel.
type Point struct{ X, Y float64 }

// A Pixel is an upright pixel by its column and row, both from 0.
type Pixel struct{ X, Y int32 }

// Centre is the middle of the pixel.
func (p Pixel) Centre() Point { return Point{float64(p.X) + 0.5, float64(p.Y) + 0.5} }
