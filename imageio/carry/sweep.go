package carry

import (
	"context"
	"maps"
	"math"
	"slices"

	"huewright/imageio"
	"huewright/imageio/internal/plane"
	"huewright/internal/parallel"
)

// How the depth of parts is looked for of which too few places are found: corners, and strips narrower than a patch. Our own choice, tried
// on drawn cabinets.
const (
	nearest     = -60.0 // mm behind the plane of the first slip, from which parts are looked for
	depths      = 181   // a millimetre each
	sweepStep   = 0.5   // pixels of the small picture by which a part moves from one depth that is looked at to the next, or to a side
	sideSteps   = 3     // by which a part may lie beside the line on which its depth moves it, either way
	sideSD      = 0.5   // pixels of the small picture by which it usually does, as poses are not quite known
	windowStep  = 6.0   // pixels of it from one window to the next, at least
	windowEdge  = 1.5   // pixels of it round an outline that are looked at too
	mostWindows = 150   // of an outline, about
	leastPart   = 25    // pixels of a window that lie on its outline
	// alikeShare is how many pixels share their errors: neighbours in noise, and all of a window in what another view makes of it.
	alikeShare = 60.0
	// samePlane is the share of parts that lie on a plane on which slips or other parts lie, and levelWithin how closely, mm. Of those
	// of which too few places are found half lie on one plane that they have to themselves.
	samePlane   = 0.7
	levelWithin = 2
	onHidden    = 0.5
)

// A window is what the first photo shows of an outline, and of nothing else, round a place.
type window struct {
	at   []imageio.Point
	want []float32 // logarithms of light, without their mean and of length 1
}

// windowsOf are those of an outline that have something to see, and the share of a window that is not seen in the one before.
func (m *Match) windowsOf(o imageio.Outline) (all []window, own float64) {
	low, high := o.Bounds()
	step := max(windowStep, math.Sqrt((high.X-low.X)*(high.Y-low.Y)/mostWindows)/m.from.scale)
	for y := low.Y; y <= high.Y+step*m.from.scale/2; y += step * m.from.scale {
		for x := low.X; x <= high.X+step*m.from.scale/2; x += step * m.from.scale {
			if w, ok := m.windowAt(o, imageio.Point{X: x, Y: y}); ok {
				all = append(all, w)
			}
		}
	}
	return all, min(1, step*step/float64(len(patch{})))
}

// windowAt is the window round a place; false where there is nothing to see.
func (m *Match) windowAt(o imageio.Outline, at imageio.Point) (w window, ok bool) {
	const wide = 2*patchHalf + 1
	scale := m.from.scale
	for i := range wide * wide {
		p := imageio.Point{X: at.X + scale*float64(i%wide-patchHalf), Y: at.Y + scale*float64(i/wide-patchHalf)}
		if v, on := m.from.at(p.X/scale, p.Y/scale); on && nearly(o, p, windowEdge*scale) {
			w.at, w.want = append(w.at, p), append(w.want, v)
		}
	}
	return w, w.normalise()
}

// normalise takes the mean off and makes the rest of length 1; false where there is nothing to see.
func (w *window) normalise() bool {
	n := float64(len(w.want))
	if n < leastPart {
		return false
	}
	mean, long := 0.0, 0.0
	for _, v := range w.want {
		mean += float64(v) / n
	}
	for i := range w.want {
		w.want[i] -= float32(mean)
		long += float64(w.want[i]) * float64(w.want[i])
	}
	for i := range w.want {
		w.want[i] /= float32(math.Sqrt(long))
	}
	return long > leastContrast*leastContrast*n/float64(len(patch{}))
}

// nearly reports whether a place lies on an outline, or less than so far beside it.
func nearly(o imageio.Outline, p imageio.Point, by float64) bool {
	return o.Contains(p) || o.Contains(imageio.Point{X: p.X - by, Y: p.Y}) || o.Contains(imageio.Point{X: p.X + by, Y: p.Y}) ||
		o.Contains(imageio.Point{X: p.X, Y: p.Y - by}) || o.Contains(imageio.Point{X: p.X, Y: p.Y + by})
}

// alike is the correlation of a window with what a homography, moved by a little, says that the second photo shows of it; 0 where it shows
// nothing, or leaves the photo.
func (m *Match) alike(w *window, h *plane.Homography, moved imageio.Point) float64 {
	var sum, squares, both float32
	for i, at := range w.at {
		p := h.Point(at.X, at.Y)
		v, on := m.to.at((p.X+moved.X)/m.to.scale, (p.Y+moved.Y)/m.to.scale)
		if !on {
			return 0
		}
		sum, squares, both = sum+v, squares+v*v, both+v*w.want[i]
	}
	n := float64(len(w.at))
	if spread := float64(squares) - float64(sum)*float64(sum)/n; spread > 1e-4*n {
		return float64(both) / math.Sqrt(spread)
	}
	return 0
}

// likelihood is the logarithm of how likely that correlation r is where the window is looked for: that of normal errors of unknown size
// about a straight line, −n/2·ln(1 − r²) for n independent pixels. A part that is hidden there says nothing.
func (w *window) likelihood(r float64) float64 {
	if r <= 0 {
		return 0
	}
	return -float64(len(w.at)) / alikeShare / 2 * math.Log(max(1-r*r, 0.02))
}

// foundAgain reports whether an outline's own surroundings of a place on its edge are seen where it was carried to, within a pixel of the
// small picture. looked is false where there is nothing to see.
func (m *Match) foundAgain(o imageio.Outline, by *plane.Homography, at imageio.Point) (looked, found bool) {
	w, looked := m.windowAt(o, at)
	if !looked {
		return false, false
	}
	for i := range 9 {
		moved := imageio.Point{X: float64(i%3-1) * m.to.scale, Y: float64(i/3-1) * m.to.scale}
		if m.alike(&w, by, moved) >= leastAlike {
			return true, true
		}
	}
	return true, false
}

// A sweep is what is seen of an outline on planes at all depths.
type sweep struct {
	likelihood [depths]float64       // logarithm
	moved      [depths]imageio.Point // to a side, pixels of the second photo, where that is most likely
	parallax   float64               // pixels of the second photo to a millimetre
}

func depth(i int) float64 { return nearest + float64(i) }

// sweepOf looks for an outline at all depths.
func (m *Match) sweepOf(ctx context.Context, r *relief, n int) (*sweep, error) {
	all, own := m.windowsOf(r.outlines[n])
	middle := r.outlines[n].Centre()
	here, further := r.carries(r.x, 0), r.carries(r.x, 1)
	a, b := here.Point(middle.X, middle.Y), further.Point(middle.X, middle.Y)
	s := &sweep{parallax: distance(a, b)}
	aside := imageio.Point{}
	if s.parallax > 0 {
		aside = imageio.Point{X: (a.Y - b.Y) / s.parallax, Y: (b.X - a.X) / s.parallax}
	}
	every := min(max(1, int(sweepStep*m.to.scale/max(s.parallax, 1e-3))), depths-1)
	err := parallel.For(ctx, (depths-1)/every+1, func(k int) {
		i := k * every
		h, best := r.carries(r.x, depth(i)), math.Inf(-1)
		for side := -sideSteps; side <= sideSteps; side++ {
			d := float64(side) * sweepStep
			moved := imageio.Point{X: d * m.to.scale * aside.X, Y: d * m.to.scale * aside.Y}
			sum := -d * d / (2 * sideSD * sideSD)
			for w := range all {
				sum += own * all[w].likelihood(m.alike(&all[w], &h, moved))
			}
			if sum > best {
				best, s.likelihood[i], s.moved[i] = sum, sum, moved
			}
		}
	})
	for i := range s.likelihood { // between those that were looked at
		before := i / every * every
		after := min(before+every, (depths-1)/every*every)
		t := float64(i-before) / float64(every)
		s.likelihood[i] = (1-t)*s.likelihood[before] + t*s.likelihood[after]
		s.moved[i] = s.moved[before]
	}
	return s, err
}

// seen is how likely what is seen of the outline is at each depth, against where it is likeliest.
func (s *sweep) seen() (b belief) {
	most := slices.Max(s.likelihood[:])
	for i, log := range s.likelihood {
		b[i] = math.Exp(log - most)
	}
	return b
}

// A belief is how likely each depth is; together 1, unless said otherwise.
type belief [depths]float64

func (b *belief) scale() {
	sum := 0.0
	for _, v := range b {
		sum += v
	}
	for i := range b {
		b[i] /= sum
	}
}

// smooth is the mean of a belief over depths within levelWithin of each.
func (b *belief) smooth() (out belief) {
	const reach = 3 * levelWithin
	for i := range b {
		all := 0.0
		for k := max(0, i-reach); k <= min(depths-1, i+reach); k++ {
			d := float64(k-i) / levelWithin
			w := math.Exp(-d * d / 2)
			out[i], all = out[i]+w*b[k], all+w
		}
		out[i] /= all
	}
	return out
}

// mode is the likeliest depth, by its number, and the standard deviation about it, mm.
func (b *belief) mode() (at int, sd float64) {
	for i := range b {
		if b[i] > b[at] {
			at = i
		}
	}
	for i, v := range b {
		sd += v * (depth(i) - depth(at)) * (depth(i) - depth(at))
	}
	return at, math.Sqrt(sd + 1.0/12)
}

// levelAt is the belief in a depth with a standard deviation, mm.
func levelAt(z, sd float64) (b belief) {
	for i := range b {
		d := (depth(i) - z) / sd
		b[i] = math.Exp(-d*d/2) + 1e-12
	}
	b.scale()
	return b
}

// anywhere is what is expected of a plane of which nothing is known: a Cauchy distribution.
func anywhere() (b belief) {
	for i := range b {
		z := depth(i) / reliefSD
		b[i] = 1 / (1 + z*z)
	}
	b.scale()
	return b
}

// sweepUntold looks at all depths for the outlines of which the plane is not known, and carries them by the likeliest: by what is seen of
// each, and as parts lie on planes on which others lie. Where all that may be is nearly the same place of the second photo, as little moves
// between two photos from nearly one place, that is known too. sd are the standard deviations of the depths that are known, mm; wide is the
// second photo's width.
//
// Source of the search at all depths: Collins (1996), A space-sweep approach to true multi-image matching, CVPR, 358–363; from memory.
func (m *Match) sweepUntold(ctx context.Context, r *relief, sd []float64, wide float64) error {
	known := []belief{levelAt(0, levelWithin)} // planes of slips and of parts
	for i := range r.slips[1:] {
		known = append(known, levelAt(r.x[12+4*i+3], levelWithin))
	}
	sweeps := map[int]*sweep{}
	m.swept = make([]bool, len(r.outlines))
	for n, untold := range m.untold {
		if !untold {
			known = append(known, levelAt(r.x[r.outlineAt()+n], max(levelWithin, sd[n])))
			continue
		}
		s, err := m.sweepOf(ctx, r, n)
		if err != nil {
			return err
		}
		sweeps[n], m.swept[n] = s, true
	}
	for n, b := range believe(known, sweeps) {
		s := sweeps[n]
		at, sd := b.mode()
		h := r.carries(r.x, depth(at))
		m.planes[n] = h.Then(&plane.Homography{A: 1, C: s.moved[at].X, E: 1, F: s.moved[at].Y})
		m.untold[n] = s.parallax*sd > outOfTrue*wide
	}
	return nil
}

// believe says where outlines lie that were looked for at all depths. A part lies on a plane that is known or anywhere else, or it lies
// with others that were looked for on one plane that they have to themselves, as shelves do: where that is, is told to each by all the
// others.
func believe(known []belief, sweeps map[int]*sweep) map[int]*belief {
	expected := anywhere()
	for i := range expected {
		on := 0.0
		for k := range known {
			on += known[k][i] / float64(len(known))
		}
		expected[i] = (1-samePlane)*expected[i] + samePlane*on
	}
	var sum [depths]float64
	together := map[int]*[depths]float64{} // logarithms of how likely what is seen of a part is, for each depth of that plane
	for _, n := range slices.Sorted(maps.Keys(sweeps)) {
		seen, alone := sweeps[n].seen(), 0.0
		for i, v := range expected {
			alone += v * seen[i]
		}
		together[n] = new([depths]float64)
		for i, v := range seen.smooth() {
			together[n][i] = math.Log((1-onHidden)*alone + onHidden*v)
			sum[i] += together[n][i]
		}
	}
	all := map[int]*belief{}
	for n, s := range sweeps {
		hidden, most := anywhere(), math.Inf(-1)
		for i, v := range together[n] {
			most = max(most, sum[i]-v)
		}
		for i, v := range together[n] {
			hidden[i] *= math.Exp(sum[i] - v - most)
		}
		hidden.scale()
		b := s.seen()
		for i, v := range hidden.smooth() {
			b[i] *= (1-onHidden)*expected[i] + onHidden*v
		}
		b.scale()
		all[n] = &b
	}
	return all
}
