package slip

import (
	"math"

	"huewright/imageio"
	"huewright/internal/stat"
)

// Along the way round the frame, and across its edge. Lengths in millimetres.
const (
	edgePlaces = 32   // on each side
	cornerFree = 3.5  // next to a corner nothing is read
	profile    = 4.25 // how far an edge is looked for on both sides of where it is thought to be
	plateau    = 1.75 // how far from the edge paper and ink are even, whatever the blur

	// frameContrast is how much lighter the paper is than the frame at least. Ink in a shadow with stray light over it is still
	// twice as dark.
	frameContrast = 1.35
	// framePlaces is the share of places round the frame that must have the contrast.
	framePlaces = 0.85
)

// place is the place that lies so far along a side, from its first corner, and so far inwards.
func place(side int, along, inwards float64) (x, y float64) {
	switch side {
	case 0:
		return along, inwards
	case 1:
		return Side - inwards, along
	case 2:
		return Side - along, Side - inwards
	}
	return inwards, Side - along
}

// quickPlaces are looked at on each side before a frame is fitted.
const quickPlaces = 10

// around calls f with a place in the ink of a frame and one on the paper beside it, as a face has them: one on each side in turn, all over
// the side before long. It stops where f wants no more.
func (f *face) around(see func(ink, white imageio.Point) bool) {
	for i := range 4 * quickPlaces {
		side := i % 4
		along := Side * (float64((3*(i/4)+side)%quickPlaces) + 0.5) / quickPlaces
		x, y := place(side, along, module/2)
		ink := f.point(x, y)
		x, y = place(side, along, -module/2)
		if !see(ink, f.point(x, y)) {
			return
		}
	}
}

const (
	// perhapsContrast is how much lighter the paper is than the frame at least in the codes of a level, where a pixel may be half of each:
	// of paper twice as light as ink it is then 4/3 as light, and 1.14 times in codes. Our own choice.
	perhapsContrast = 1.12
	// perhapsPlaces is the share of places round the frame that must have it. Our own choice.
	perhapsPlaces = 0.7
)

// perhapsFramed reports whether a dark frame with paper round it may lie between corners on a level, as far as the level shows it. No part
// of the photo has to be decoded for that.
func (l *level) perhapsFramed(corners [4]imageio.Point) bool {
	f := faceOf(corners, [4]float64{})
	const most = 4*quickPlaces - int(perhapsPlaces*4*quickPlaces)
	without := 0
	f.around(func(ink, white imageio.Point) bool {
		i, ok := l.at(ink)
		w, okToo := l.at(white)
		if !ok || !okToo || float64(w) <= perhapsContrast*float64(i) {
			without++
		}
		return without <= most
	})
	return without <= most
}

// framed reports whether a dark frame with paper round it lies on a face, and paper among its patches: a quick look.
func (s scene) framed(f *face) bool {
	const most = 4*quickPlaces - int(framePlaces*4*quickPlaces)
	without := 0
	inks := make([]float64, 0, 4*quickPlaces)
	f.around(func(at, beside imageio.Point) bool {
		ink, ok := s.luminance(at)
		white, okToo := s.luminance(beside)
		switch {
		case !ok || !okToo:
			without = most + 1
		case white <= frameContrast*ink:
			without++
		}
		inks = append(inks, ink)
		return without <= most
	})
	return without <= most && s.papered(f, stat.Quantile(inks, 0.5))
}

// papered reports whether as many patches as are bare paper on every slip are lighter than ink.
func (s scene) papered(f *face, ink float64) bool {
	const bare = 2
	lighter := 0
	for i := range Patches {
		at := patch(i)
		if light, ok := s.luminance(f.point(at.X+patchSide/2, at.Y+patchSide/2)); ok && light > frameContrast*ink {
			lighter++
		}
	}
	return lighter >= bare
}

// fitted is a face fitted to the outer edge of the frame, and how far off the edge is from it, root mean square in millimetres. It
// is not ok where there is no such edge, or where a face that is nearly there shows no slip.
func (s scene) fitted(f face) (face, float64, bool) {
	var off float64
	for round := range 4 {
		var ends [4][2]float64 // how far in the edge lies at both ends of each side
		var bend [4]float64
		off = 0
		for k := range 4 {
			fit, ok := s.edge(&f, k)
			if !ok {
				return f, 0, false
			}
			ends[k] = [2]float64{fit.at(0), fit.at(Side)}
			bend[k] = f.bend[k] + fit.at(Side/2) - (ends[k][0]+ends[k][1])/2
			off += fit.off * fit.off / 4
		}
		var corners [4]imageio.Point
		moved := 0.0
		for k := range 4 {
			// The side before ends at this corner, and this side begins there.
			x, y := place(k, ends[(k+3)%4][1], ends[k][0])
			corners[k] = f.plane.Point(x, y)
			moved = max(moved, distance(corners[k], f.corners[k]))
		}
		if f = faceOf(corners, bend); !f.convex() || round == 0 && !s.perhapsSlip(&f) {
			return f, 0, false
		}
		if moved < 0.02 {
			break
		}
	}
	return f, math.Sqrt(off), true
}

// An edgeFit is how far inwards an edge lies along a side: a parabola in −1 to 1 from end to end.
type edgeFit struct{ a, b, c, off float64 }

func (e *edgeFit) at(along float64) float64 {
	t := 2*along/Side - 1
	return e.a + e.b*t + e.c*t*t
}

const (
	// softBend is the standard deviation of a bend, in mm, and edgeNoise that of one place's edge: of few noisy places no bend is
	// read. Our own choice.
	softBend, edgeNoise = 1.0, 0.15
	// stray is the residual, in mm, beyond which a place of the edge counts less.
	stray = 0.25
	// fewestEdges is how many places on a side must show the edge.
	fewestEdges = edgePlaces / 2
)

// edge fits one side.
func (s scene) edge(f *face, k int) (edgeFit, bool) {
	var along, in []float64
	for i := range edgePlaces {
		at := cornerFree + (Side-2*cornerFree)*(float64(i)+0.5)/edgePlaces
		if d, ok := s.edgeAt(f, k, at); ok {
			along, in = append(along, at), append(in, d)
		}
	}
	if len(in) < fewestEdges {
		return edgeFit{}, false
	}
	var fit edgeFit
	weights := make([]float64, len(in))
	for i := range weights {
		weights[i] = 1
	}
	for range 4 {
		fit = parabola(along, in, weights)
		sum, n := 0.0, 0.0
		for i, at := range along {
			r := in[i] - fit.at(at)
			weights[i] = min(1, stray/math.Abs(r))
			sum, n = sum+weights[i]*r*r, n+weights[i]
		}
		fit.off = math.Sqrt(sum / n)
	}
	return fit, true
}

// parabola is the weighted fit of least squares, with the bend held towards 0.
func parabola(along, in, weights []float64) edgeFit {
	var normal [3][3]float64
	var right [3]float64
	normal[2][2] = edgeNoise * edgeNoise / (softBend * softBend)
	for i, at := range along {
		t := 2*at/Side - 1
		basis := [3]float64{1, t, t * t}
		for r := range basis {
			for c := range basis {
				normal[r][c] += weights[i] * basis[r] * basis[c]
			}
			right[r] += weights[i] * basis[r] * in[i]
		}
	}
	inverse, _ := stat.Inverse3(&normal) // positive definite
	solved := func(r int) float64 { return inverse[r][0]*right[0] + inverse[r][1]*right[1] + inverse[r][2]*right[2] }
	return edgeFit{a: solved(0), b: solved(1), c: solved(2)}
}

// edgeAt is how far inwards of where it is thought to be the edge lies at one place: where the luminance crosses the middle between
// that of paper outside and ink inside. In linear light blur leaves that where it was.
func (s scene) edgeAt(f *face, k int, along float64) (float64, bool) {
	const samples = 35
	const step = 2 * profile / (samples - 1)
	var light [samples]float64
	for i := range light {
		x, y := place(k, along, -profile+step*float64(i))
		var ok bool
		if light[i], ok = s.luminance(f.point(x, y)); !ok {
			return 0, false
		}
	}
	const ends = int((profile - plateau) / step)
	white, ink := 0.0, 0.0
	for i := range ends {
		white += light[i] / float64(ends)
		ink += light[samples-1-i] / float64(ends)
	}
	if white < frameContrast*ink {
		return 0, false
	}
	half, best, found := (white+ink)/2, 0.0, false
	for i := range samples - 1 {
		if light[i] < half || light[i+1] >= half {
			continue
		}
		if from := -profile + step*float64(i); !found || math.Abs(from) < math.Abs(best) {
			best, found = s.crossing(f, k, along, from, from+step, half), true
		}
	}
	return best, found
}

// crossing is where the luminance falls below half between two places across an edge, to a fraction of a pixel.
func (s scene) crossing(f *face, k int, along, from, to, half float64) float64 {
	at := func(inwards float64) imageio.Point { return f.point(place(k, along, inwards)) }
	steps := math.Ceil(2 * distance(at(from), at(to)))
	last, _ := s.luminance(at(from))
	for i := 1.0; i <= steps; i++ {
		next, _ := s.luminance(at(from + (to-from)*i/steps))
		if next < half {
			return from + (to-from)*(i-1+(last-half)/(last-next))/steps
		}
		last = next
	}
	return to
}
