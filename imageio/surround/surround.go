package surround

import (
	"context"
	"fmt"
	"math"
	"slices"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/sample"
	"huewright/internal/parallel"
)

// Options says what lies round a repair.
type Options struct {
	Name    string            // of the repair, for messages; default none
	Wood    *imageio.Outline  // the wood it is judged against; nil finds it round the repair
	Exclude []imageio.Outline // other repairs, fittings, the piece's edges
	Light   imageio.Light     // that falls on the photo, to be evened out; default even light
}

// Sizes of the grid that a repair is looked at on, and of what is laid on it; all in the repair's
// own size, the root of its area, unless said otherwise. Our own choices.
const (
	repairSide = 40.0 // pixels of the grid along that size
	reach      = 3.0  // how far round it wood is looked at
	ringWide   = 0.35
	ringGap    = 2.0  // pixels of the grid between a patch and its ring
	patchFull  = 0.92 // share of a patch that must be wood
	ringFull   = 0.60
	// mostPlaces are laid at most, leastPlaces are needed; leastRoom is how many patches of its
	// size the wood must have room for side by side.
	mostPlaces, leastPlaces = 400, 40
	leastRoom               = 5.0
)

// Surroundings are a repair and the wood round it on a grid of pixels of a size that fits it, in
// colours corrected and evened, with the places where equal patches can be laid over the wood.
type Surroundings struct {
	wide, high int
	scale      float64 // photo pixels to one of the grid
	x0, y0     float64 // of the grid in the photo
	l, a, b    []float32
	wood       []bool
	mould      *mould
	at         place2 // of the mould on the repair
	places     []place2
	Left       float64 // share of what lies round the repair that was left out as other wood, gaps or glare
}

// A place2 is a place on the grid.
type place2 struct{ x, y int }

// Read looks at a repair and what lies round it. The error is an *AreaError when the repair is not
// on the photo, or overlaps what is excluded, or there is too little wood to judge it by, and an
// *OutlineError when another outline does not fit the photo.
func Read(ctx context.Context, p *imageio.Photo, repair imageio.Outline, correction *camera.Correction, opt Options) (*Surroundings, error) {
	if fault := repair.CheckOn(p); fault != nil {
		return nil, &imageio.AreaError{Path: p.Path, Name: opt.Name, Problem: fault.Problem, Advice: fault.Advice}
	}
	for _, o := range opt.outlines() {
		if fault := o.CheckOn(p); fault != nil {
			return nil, fault
		}
	}
	if correction == nil {
		correction = sample.NoReference()
	}
	n := imageio.CountPixels(repair.Spans(p.Width, p.Height))
	if n < sample.LeastPixels {
		return nil, sample.TooFew(p, opt.Name, n, "in the repair")
	}
	s := grid(p, repair, math.Sqrt(float64(n)))
	if err := s.read(ctx, p, correction, opt.Light); err != nil {
		return nil, err
	}
	var err error
	if s.mould, err = newMould(ctx, s.onGrid(repair), math.Sqrt(float64(n))/s.scale); err != nil {
		return nil, err
	}
	s.at = s.mould.origin
	if err := s.findWood(ctx, p, repair, &opt); err != nil {
		return nil, err
	}
	if s.near() < ringFull/2 {
		return nil, &imageio.AreaError{Path: p.Path, Name: opt.Name, Problem: "there is no wood next to the repair to judge it by", Advice: "correct the outlines: what is excluded, or not of the wood, covers what lies round the repair"}
	}
	if err := s.lay(ctx); err != nil {
		return nil, err
	}
	room := float64(s.woodPixels()) / float64(len(s.mould.patch))
	if len(s.places) < leastPlaces || room < leastRoom {
		return nil, &imageio.AreaError{Path: p.Path, Name: opt.Name,
			Problem: fmt.Sprintf("the wood round the repair has room for %.1f patches of its size in %d places, need %.0f in %d", room, len(s.places), leastRoom, leastPlaces),
			Advice:  "show more of the same board round it: about three times its size on each side",
		}
	}
	return s, nil
}

func (o *Options) outlines() []imageio.Outline {
	all := o.Exclude
	if o.Wood != nil {
		all = append([]imageio.Outline{*o.Wood}, all...)
	}
	return all
}

// grid is an empty grid that spans the repair and its reach, as far as the photo goes.
func grid(p *imageio.Photo, repair imageio.Outline, size float64) *Surroundings {
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

// read fills the grid: each pixel the mean light of what it covers, corrected. Clipped ones are no
// wood.
func (s *Surroundings) read(ctx context.Context, p *imageio.Photo, correction *camera.Correction, light imageio.Light) error {
	n := s.wide * s.high
	s.l, s.a, s.b, s.wood = make([]float32, n), make([]float32, n), make([]float32, n), make([]bool, n)
	points := int(min(math.Ceil(s.scale), gridPoints))
	if err := parallel.Ranges(ctx, s.high, 8, func(from, to int) {
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
	}); err != nil {
		return err
	}
	return nil
}

// inPhoto is the middle of a grid pixel in the photo.
func (s *Surroundings) inPhoto(i int) imageio.Point {
	return imageio.Point{X: s.x0 + s.scale*(float64(i%s.wide)+0.5), Y: s.y0 + s.scale*(float64(i/s.wide)+0.5)}
}

// onGrid is an outline in pixels of the grid.
func (s *Surroundings) onGrid(o imageio.Outline) imageio.Outline {
	move := func(points []imageio.Point) (moved []imageio.Point) {
		for _, p := range points {
			moved = append(moved, imageio.Point{X: (p.X - s.x0) / s.scale, Y: (p.Y - s.y0) / s.scale})
		}
		return moved
	}
	out := imageio.Outline{Points: move(o.Points)}
	for _, hole := range o.Holes {
		out.Holes = append(out.Holes, move(hole))
	}
	return out
}

func (s *Surroundings) woodPixels() (n int) {
	for _, is := range s.wood {
		if is {
			n++
		}
	}
	return n
}

// lay finds the places where the mould lies on wood, and its ring on enough of it: about as many
// as are wanted, evenly spread.
func (s *Surroundings) lay(ctx context.Context) error {
	all, err := s.laid(ctx, coarse)
	if err != nil {
		return err
	}
	if n := len(all); n > 0 && n < mostPlaces/2 {
		all, err = s.laid(ctx, max(1, int(coarse*math.Sqrt(float64(n)/mostPlaces))))
		if err != nil {
			return err
		}
	}
	step := max(1, float64(len(all))/mostPlaces)
	for at := 0.0; int(at) < len(all); at += step {
		s.places = append(s.places, all[int(at)])
	}
	return nil
}

// coarse is the stride, in pixels of the grid, that places are first looked for at.
const coarse = 6

// near is how much of the repair's own ring is wood.
func (s *Surroundings) near() float64 {
	n := 0
	for _, c := range s.mould.ring {
		if x, y := s.at.x+c.x, s.at.y+c.y; x >= 0 && y >= 0 && x < s.wide && y < s.high && s.wood[y*s.wide+x] {
			n++
		}
	}
	return float64(n) / float64(len(s.mould.ring))
}

func (s *Surroundings) laid(ctx context.Context, stride int) (all []place2, err error) {
	m := s.mould
	rows := make([][]place2, s.high/stride+1)
	if err := parallel.Ranges(ctx, len(rows), 1, func(row, _ int) {
		y := row * stride
		for x := 0; y+m.high <= s.high && x+m.wide <= s.wide; x += stride {
			if at := (place2{x, y}); s.fits(at) {
				rows[row] = append(rows[row], at)
			}
		}
	}); err != nil {
		return all, err
	}
	return slices.Concat(rows...), nil
}

func (s *Surroundings) fits(at place2) bool {
	m := s.mould
	return s.share(m.patch, at, 7) >= patchFull-0.05 && s.share(m.patch, at, 1) >= patchFull && s.share(m.ring, at, 1) >= ringFull
}

// share is how much of every so-manieth cell of the mould is wood.
func (s *Surroundings) share(cells []place2, at place2, every int) float64 {
	n, of := 0, 0
	for i := 0; i < len(cells); i += every {
		of++
		if c := cells[i]; s.wood[(at.y+c.y)*s.wide+at.x+c.x] {
			n++
		}
	}
	return float64(n) / float64(of)
}
