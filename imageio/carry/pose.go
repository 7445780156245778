package carry

import (
	"context"
	"math"

	"gonum.org/v1/gonum/mat"

	"huewright/imageio"
	"huewright/imageio/internal/plane"
	"huewright/imageio/slip"
	"huewright/internal/lm"
	"huewright/internal/stat"
)

// A both is a slip as two photos show it.
type both struct{ from, to *slip.Slip }

// A lens is what is known of how a photo was taken: its middle, and the focal length in pixels.
type lens struct {
	middle imageio.Point
	focal  float64
}

const (
	usualFocal = 27.0 // millimetres on a frame of 36 × 24: what phones have, where a photo does not say. Common practice, no source.
	usualSlant = 0.25 // sine of how far a camera is usually turned from straight ahead, either way. Our own choice.
	cornerSD   = 0.4  // pixels by which a slip's corner is usually off. Our own choice.
	firstSlant = 0.2  // radians, from which a slip's slant is looked for
	placeSD    = 2000 // mm by which one slip lies from another, either way: all but free
)

func lensOf(p *imageio.Photo) lens {
	l := lens{imageio.Point{X: float64(p.Width) / 2, Y: float64(p.Height) / 2}, p.FocalPixels()}
	if l.focal == 0 {
		l.focal = usualFocal / math.Hypot(36, 24) * math.Hypot(float64(p.Width), float64(p.Height))
	}
	return l
}

// A pose is where the plane of the slips lies before a camera: how it is turned, as an axis times an angle, and where its first place
// is, in millimetres.
type pose [6]float64

// point is where a photo shows a place of the plane, given in millimetres.
func (l *lens) point(p *pose, x, y float64) (imageio.Point, bool) {
	r := rotation(p[:3])
	var at [3]float64
	for k := range 3 {
		at[k] = r[k][0]*x + r[k][1]*y + p[3+k]
	}
	return imageio.Point{X: l.middle.X + l.focal*at[0]/at[2], Y: l.middle.Y + l.focal*at[1]/at[2]}, at[2] > 0
}

// homography is that of places of the plane.
func (l *lens) homography(p *pose) plane.Homography {
	r, z := rotation(p[:3]), p[5]
	return plane.Homography{
		A: (l.focal*r[0][0] + l.middle.X*r[2][0]) / z, B: (l.focal*r[0][1] + l.middle.X*r[2][1]) / z, C: (l.focal*p[3] + l.middle.X*z) / z,
		D: (l.focal*r[1][0] + l.middle.Y*r[2][0]) / z, E: (l.focal*r[1][1] + l.middle.Y*r[2][1]) / z, F: (l.focal*p[4] + l.middle.Y*z) / z,
		G: r[2][0] / z, H: r[2][1] / z,
	}
}

// rotation is the matrix of a turn, given as its axis times its angle: Rodrigues's formula.
func rotation(w []float64) (r [3][3]float64) {
	angle := math.Sqrt(w[0]*w[0] + w[1]*w[1] + w[2]*w[2])
	if angle < 1e-12 {
		return [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
	}
	x, y, z := w[0]/angle, w[1]/angle, w[2]/angle
	s, c := math.Sincos(angle)
	d := 1 - c
	return [3][3]float64{
		{c + x*x*d, x*y*d - z*s, x*z*d + y*s}, {y*x*d + z*s, c + y*y*d, y*z*d - x*s}, {z*x*d - y*s, z*y*d + x*s, c + z*z*d},
	}
}

// straight is the pose of a slip as if it were seen straight on: turned and scaled in the picture alone.
func (l *lens) straight(s *slip.Slip) (p pose) {
	c := s.Corners
	wide := math.Hypot(c[1].X-c[0].X, c[1].Y-c[0].Y) + math.Hypot(c[2].X-c[3].X, c[2].Y-c[3].Y)
	high := math.Hypot(c[3].X-c[0].X, c[3].Y-c[0].Y) + math.Hypot(c[2].X-c[1].X, c[2].Y-c[1].Y)
	z := l.focal * slip.Side / (max(wide, high) / 2)
	p[2] = math.Atan2(c[1].Y-c[0].Y+c[2].Y-c[3].Y, c[1].X-c[0].X+c[2].X-c[3].X)
	return pose{0, 0, p[2], (c[0].X - l.middle.X) / l.focal * z, (c[0].Y - l.middle.Y) / l.focal * z, z}
}

// posed are the homographies, from the first photo to the second, of the plane of slips whose size is known.
func posed(ctx context.Context, slips []both, from, to lens) (all []plane.Homography) {
	for _, x := range poses(ctx, slips, from, to) {
		a, b := pose(x[:6]), pose(x[6:12])
		first, second := from.homography(&a), to.homography(&b)
		back := first.Inverted()
		all = append(all, back.Then(&second))
	}
	return all
}

// poses are those of the plane of slips before both cameras, for both ways that a small slip may be slanted in each photo. All slips lie
// on one plane; where on it and how turned, three numbers each but for the first, is found with the two poses.
func poses(ctx context.Context, slips []both, from, to lens) (all [][]float64) {
	for way := range 4 {
		a, b := from.straight(slips[0].from), to.straight(slips[0].to)
		tip := func(p *pose, other bool) { // a little, either way
			if p[0], p[1] = firstSlant, firstSlant; other {
				p[0], p[1] = -firstSlant, -firstSlant
			}
		}
		tip(&a, way&1 == 1)
		tip(&b, way&2 == 2)
		x := append(append([]float64{}, a[:]...), b[:]...)
		for _, s := range slips[1:] {
			x = append(x, placed(slips[0].from, s.from)...)
		}
		all = append(all, fitPoses(ctx, slips, from, to, x))
	}
	return all
}

// placed is a first guess of where a slip lies on the plane of another, and how it is turned there.
func placed(home, s *slip.Slip) []float64 {
	h := plane.FromCorners(home.Corners)
	x, y, _ := h.Inverse(s.Corners[0])
	u, v, _ := h.Inverse(s.Corners[1])
	return []float64{x * slip.Side, y * slip.Side, math.Atan2(v-y, u-x)}
}

var slipCorners = [4]imageio.Point{{X: 0, Y: 0}, {X: slip.Side, Y: 0}, {X: slip.Side, Y: slip.Side}, {X: 0, Y: slip.Side}}

// fitPoses moves two poses, and the places of further slips, until the corners are seen where they were.
func fitPoses(ctx context.Context, slips []both, from, to lens, start []float64) []float64 {
	residuals := func(x, r []float64) {
		n := 0
		for i, s := range slips {
			for k, c := range slipCorners {
				if i > 0 {
					at := x[12+3*(i-1):]
					sin, cos := math.Sincos(at[2])
					c = imageio.Point{X: at[0] + c.X*cos - c.Y*sin, Y: at[1] + c.X*sin + c.Y*cos}
				}
				for _, view := range [2]struct {
					l    lens
					p    pose
					seen imageio.Point
				}{{from, pose(x[:6]), s.from.Corners[k]}, {to, pose(x[6:12]), s.to.Corners[k]}} {
					on, ok := view.l.point(&view.p, c.X, c.Y)
					if !ok {
						on = imageio.Point{X: math.NaN()} // behind the camera: such a step is not taken
					}
					r[n], r[n+1] = (on.X-view.seen.X)/cornerSD, (on.Y-view.seen.Y)/cornerSD
					n += 2
				}
			}
		}
		for _, p := range [2][]float64{x[:6], x[6:12]} {
			m := rotation(p[:3])
			r[n], r[n+1] = m[0][2]/usualSlant, m[1][2]/usualSlant
			n += 2
		}
		for _, v := range x[12:] {
			r[n] = v / placeSD
			n++
		}
	}
	n := 16*len(slips) + 4 + len(start) - 12
	near := make([]float64, n)
	problem := lm.Residuals(n, len(start), func(x, r []float64, j *mat.Dense) {
		residuals(x, r)
		if j == nil {
			return
		}
		for k := range x {
			step := 1e-5 * max(1, math.Abs(x[k]))
			moved := append([]float64{}, x...)
			moved[k] += step
			residuals(moved, near)
			for i := range near {
				j.Set(i, k, (near[i]-r[i])/step)
			}
		}
	})
	return lm.Minimise(ctx, problem, start, lm.Options{Tries: 60}).X
}

// bySlips is the homography through the corners of slips alone.
func bySlips(slips []both) (plane.Homography, bool) {
	var all []pair
	for _, s := range slips {
		for k := range s.from.Corners {
			all = append(all, pair{from: s.from.Corners[k], to: s.to.Corners[k]})
		}
	}
	return through(all)
}

// farthest is how far a homography is from the corners of slips, as a share of the slip's side: the worst corner of the worst slip.
func farthest(h *plane.Homography, slips []both) (share float64) {
	for _, s := range slips {
		var d []float64
		for k := range s.from.Corners {
			d = append(d, off(h, &pair{from: s.from.Corners[k], to: s.to.Corners[k]})/s.to.Pixels())
		}
		share = max(share, stat.Quantile(d, 1))
	}
	return share
}

func distance(a, b imageio.Point) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }
