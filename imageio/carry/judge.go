package carry

import (
	"context"
	"math"

	"huewright/imageio"
	"huewright/internal/stat"
)

// A Judgement says how an outline of the first photo fits the second, where it was carried to.
type Judgement struct {
	// PlaneUnknown tells that areas of the face lie before and behind one another, and that too little is seen of this one to say where.
	PlaneUnknown bool

	Seen float64 // the share of its pixels that lies on the second photo

	Looked int     // places on its edge, with something to see
	Edges  float64 // the share of them whose surroundings are found again within edgeReach

	// Change is how much more its colour changed than that of the face as a whole: the root of the squares of the changes of ln R, G and B
	// in linear light. A coat changes it, and so does another thing that lies there.
	Change float64
}

const (
	edgeStep  = 10.0 // pixels of the small picture from one place on an edge to the next
	edgeReach = 3    // pixels of it by which an edge may be elsewhere
	mostEdges = 400  // places that are looked at
	patchSeen = 3    // pixels round a place whose colour is read, each way
	mostRead  = 1500 // pixels of an outline whose colour is read
)

// Judge looks whether the edges of the n-th of the outlines that were given are found again in the second photo, and whether its colour
// changed. The error is the context's.
func (m *Match) Judge(ctx context.Context, n int) (j Judgement, err error) {
	o, by, to := m.outlines[n], m.planeOf(n), m.to.photo
	j.PlaneUnknown = m.untold != nil && m.untold[n]
	inFirst := o.Spans(m.from.photo.Width, m.from.photo.Height)
	every := max(1, imageio.CountPixels(inFirst)/mostRead)
	var pixels, on int
	var before, after []imageio.Pixel
	for _, s := range inFirst {
		for x := s.X0; x < s.X1; x++ {
			if pixels++; pixels%every != 0 {
				continue
			}
			from := imageio.Pixel{X: int32(x), Y: int32(s.Y)}
			p := by.Point(from.Centre().X, from.Centre().Y)
			if p.X >= 0 && p.Y >= 0 && p.X < float64(to.Width) && p.Y < float64(to.Height) {
				on++
				before, after = append(before, from), append(after, imageio.Pixel{X: int32(p.X), Y: int32(p.Y)})
			}
		}
	}
	j.Seen = float64(on) / float64(max(1, pixels/every))
	if on > 0 && len(m.in) > 0 {
		change, usual := between(meanLog(m.from.photo, before), meanLog(to, after)), m.usualChange()
		for k := range change {
			j.Change = math.Hypot(j.Change, change[k]-usual[k])
		}
	}
	for _, at := range m.onEdge(o) {
		var p patch
		if ctx.Err() != nil {
			return j, ctx.Err()
		}
		h := by.Point(at.X, at.Y)
		if _, there := m.to.at(h.X/m.to.scale, h.Y/m.to.scale); !there || !m.from.patchAt(at, &p) {
			continue
		}
		if m.swept != nil && m.swept[n] {
			if looked, found := m.foundAgain(o, by, at); looked {
				j.Looked++
				if found {
					j.Edges++
				}
			}
			continue
		}
		j.Looked++
		if _, _, ok := seek(m.from, m.to, by, at, edgeReach); ok {
			j.Edges++
		}
	}
	j.Edges /= float64(max(1, j.Looked))
	return j, nil
}

// onEdge are places along the rings of an outline.
func (m *Match) onEdge(o imageio.Outline) (all []imageio.Point) {
	rings := append(append([][]imageio.Point{o.Points}, o.More...), o.Holes...)
	step := edgeStep * m.from.scale
	long := 0.0
	for _, ring := range rings {
		for i, p := range ring {
			long += distance(p, ring[(i+1)%len(ring)])
		}
	}
	step = max(step, long/mostEdges)
	left := step / 2
	for _, ring := range rings {
		for i, p := range ring {
			q := ring[(i+1)%len(ring)]
			d := distance(p, q)
			for ; left < d; left += step {
				all = append(all, imageio.Point{X: p.X + (q.X-p.X)*left/d, Y: p.Y + (q.Y-p.Y)*left/d})
			}
			left -= d
		}
	}
	return all
}

// usualChange is the median change of colour, ln R, G and B, of the places by which the face was found.
func (m *Match) usualChange() (usual [3]float64) {
	var all [3][]float64
	for _, p := range m.in {
		change := between(meanLog(m.from.photo, around(p.from, m.from.photo)), meanLog(m.to.photo, around(p.to, m.to.photo)))
		for k := range all {
			all[k] = append(all[k], change[k])
		}
	}
	for k := range all {
		usual[k] = stat.Quantile(all[k], 0.5)
	}
	return usual
}

// around are the pixels round a place.
func around(at imageio.Point, p *imageio.Photo) (all []imageio.Pixel) {
	for dy := -patchSeen; dy <= patchSeen; dy++ {
		for dx := -patchSeen; dx <= patchSeen; dx++ {
			x, y := int(at.X)+dx, int(at.Y)+dy
			if x >= 0 && y >= 0 && x < p.Width && y < p.Height {
				all = append(all, imageio.Pixel{X: int32(x), Y: int32(y)})
			}
		}
	}
	return all
}

// meanLog is the logarithm of the mean light of pixels, of which there is one at least.
func meanLog(p *imageio.Photo, pixels []imageio.Pixel) [3]float64 {
	var sum [3]float64
	for _, at := range pixels {
		c := p.Linear(int(at.X), int(at.Y))
		sum[0], sum[1], sum[2] = sum[0]+c.R, sum[1]+c.G, sum[2]+c.B
	}
	for k := range sum {
		sum[k] = math.Log(max(0, sum[k]/float64(max(1, len(pixels)))) + darkestLight)
	}
	return sum
}

func between(a, b [3]float64) [3]float64 { return [3]float64{b[0] - a[0], b[1] - a[1], b[2] - a[2]} }
