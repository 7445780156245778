package surround

import (
	"context"
	"math"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/internal/parallel"
)

// Sizes of the grid in the repair's own size, the root of its area. Our own choices.
const (
	repairSide = 40.0 // pixels of the grid along that size
	reach      = 3.0  // how far round it wood is looked at
)

// Surroundings are a repair and the wood round it on a grid of pixels of a size that fits it, in colours corrected
// and evened, with the places where equal patches can be laid over the wood.
type Surroundings struct {
	wide, high int
	scale      float64   // photo pixels to one of the grid
	x0, y0     float64   // of the grid in the photo
	l, a, b    []float32 // CIE L*a*b* of each pixel
	wood       []bool    // to judge by
	template   *template
	at         cell // of the template on the repair
	places     []cell
	Left       float64 // share of what lies round the repair that was left out as other wood, gaps or glare
}

// newGrid returns an empty grid that spans the repair and its reach, as far as the photo goes.
func newGrid(p *imageio.Photo, repair imageio.Outline, size float64) *Surroundings {
	low, high := repair.Bounds()
	by := (reach + ringWide) * size
	s := &Surroundings{scale: max(1, size/repairSide)}
	s.x0, s.y0 = max(0, math.Floor(low.X-by)), max(0, math.Floor(low.Y-by))
	s.wide = int((min(float64(p.Width), high.X+by) - s.x0) / s.scale)
	s.high = int((min(float64(p.Height), high.Y+by) - s.y0) / s.scale)
	return s
}

// gridPoints is how many points along each side of a grid pixel are averaged at most.
const gridPoints = 3

// fill gives each pixel the mean light of what it covers, corrected. Clipped ones are no wood.
func (s *Surroundings) fill(ctx context.Context, p *imageio.Photo, correction *camera.Correction, light imageio.Light) error {
	n := s.wide * s.high
	s.l, s.a, s.b, s.wood = make([]float32, n), make([]float32, n), make([]float32, n), make([]bool, n)
	points := int(min(math.Ceil(s.scale), gridPoints))
	return parallel.Ranges(ctx, s.high, 8, func(from, to int) {
		for i := from * s.wide; i < to*s.wide; i++ {
			var sum colour.LinearRGB
			clipped := false
			for k := range points * points {
				x := int(s.x0 + s.scale*(float64(i%s.wide)+(float64(k%points)+0.5)/float64(points)))
				y := int(s.y0 + s.scale*(float64(i/s.wide)+(float64(k/points)+0.5)/float64(points)))
				x, y = min(x, p.Width-1), min(y, p.Height-1)
				c := p.Linear(x, y)
				sum.R, sum.G, sum.B = sum.R+c.R, sum.G+c.G, sum.B+c.B
				clipped = clipped || p.Clipped(x, y)
			}
			share := 1 / float64(points*points)
			xyz := correction.Apply(colour.LinearRGB{R: share * sum.R, G: share * sum.G, B: share * sum.B})
			if light != nil {
				xyz = imageio.InEvenLight(xyz, light.Log(s.inPhoto(i)))
			}
			lab := xyz.Lab()
			s.l[i], s.a[i], s.b[i] = float32(lab.L), float32(lab.A), float32(lab.B)
			s.wood[i] = !clipped
		}
	})
}

// inPhoto is the middle of a grid pixel in the photo.
func (s *Surroundings) inPhoto(i int) imageio.Point {
	return imageio.Point{X: s.x0 + s.scale*(float64(i%s.wide)+0.5), Y: s.y0 + s.scale*(float64(i/s.wide)+0.5)}
}

// onGrid is an outline in pixels of the grid.
func (s *Surroundings) onGrid(o imageio.Outline) imageio.Outline {
	return o.Mapped(func(p imageio.Point) imageio.Point {
		return imageio.Point{X: (p.X - s.x0) / s.scale, Y: (p.Y - s.y0) / s.scale}
	})
}

// woodPixels counts the pixels of wood.
func (s *Surroundings) woodPixels() (n int) {
	for _, is := range s.wood {
		if is {
			n++
		}
	}
	return n
}

// inside marks the pixels within an outline on the grid.
func (s *Surroundings) inside(o imageio.Outline) []bool {
	in := make([]bool, len(s.wood))
	for _, sp := range o.Spans(s.wide, s.high) {
		for x := sp.X0; x < sp.X1; x++ {
			in[sp.Y*s.wide+x] = true
		}
	}
	return in
}
