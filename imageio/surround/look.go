package surround

import (
	"context"
	"math"

	"huewright/colour"
	"huewright/imageio"
	"huewright/internal/parallel"
)

// Repair is the repair beside the wood next to it.
func (s *Surroundings) Repair(ctx context.Context) (colour.PatchAndRing, error) {
	eyes, err := s.lookers(ctx)
	if err != nil {
		return colour.PatchAndRing{}, err
	}
	return eyes.beside(s.at, false), nil
}

// Patches are equal patches of the wood, each beside the wood next to it.
func (s *Surroundings) Patches(ctx context.Context) ([]colour.PatchAndRing, error) {
	all := make([]colour.PatchAndRing, len(s.places))
	eyes, err := s.lookers(ctx)
	if err != nil {
		return nil, err
	}
	if err := parallel.Ranges(ctx, len(all), 8, func(from, to int) {
		for i := from; i < to; i++ {
			all[i] = eyes.beside(s.places[i], true)
		}
	}); err != nil {
		return nil, err
	}
	return all, nil
}

// Size is the root of the repair's area, in photo pixels.
func (s *Surroundings) Size() float64 { return s.scale * math.Sqrt(float64(len(s.mould.patch))) }

// Roundness is 1 for a round repair, π/4 for a square one, and less for one whose ends run out.
func (s *Surroundings) Roundness(o imageio.Outline) float64 {
	length := 0.0
	for i, p := range o.Points {
		q := o.Points[(i+1)%len(o.Points)]
		length += math.Hypot(q.X-p.X, q.Y-p.Y)
	}
	return 4 * math.Pi * o.Area() / (length * length)
}

// lookers are Surroundings with the slopes of L* at each pixel.
type lookers struct {
	*Surroundings
	gx, gy []float32
}

// lookers works out the slopes by Scharr's operator, whose directions are true to a degree.
func (s *Surroundings) lookers(ctx context.Context) (*lookers, error) {
	e := &lookers{s, make([]float32, len(s.l)), make([]float32, len(s.l))}
	if err := parallel.Ranges(ctx, s.high, 16, func(from, to int) {
		for y := max(1, from); y < min(s.high-1, to); y++ {
			for x := 1; x < s.wide-1; x++ {
				i := y*s.wide + x
				up, mid, down := s.l[i-s.wide-1:i-s.wide+2], s.l[i-1:i+2], s.l[i+s.wide-1:i+s.wide+2]
				e.gx[i] = (3*(up[2]-up[0]) + 10*(mid[2]-mid[0]) + 3*(down[2]-down[0])) / 32
				e.gy[i] = (3*(down[0]-up[0]) + 10*(down[1]-up[1]) + 3*(down[2]-up[2])) / 32
			}
		}
	}); err != nil {
		return nil, err
	}
	return e, nil
}

// beside looks at the mould in a place. Only wood counts in the ring, and in the patch too where
// it is one of the wood's; of a repair all that is in the picture counts.
func (e *lookers) beside(at place2, wood bool) colour.PatchAndRing {
	m := e.mould
	middle := e.inPhoto((at.y+m.high/2)*e.wide + at.x + m.wide/2)
	return colour.PatchAndRing{
		X: middle.X, Y: middle.Y,
		Patch: e.texture(m.patch, at, wood, true), Ring: e.texture(m.ring, at, true, false), Line: e.line(at, wood),
	}
}

// shades is how finely L* is told apart when a quarter of the pixels is looked for.
const shades = 512

// edgeClear is how far inside a patch slopes are looked at, in pixels of the grid.
const edgeClear = 1.5

// A shade is what was seen of one of them.
type shade struct{ n, l, a, b float64 }

// texture is that of some cells of the mould in a place. Of a patch the slopes next to its outline
// are not looked at: they are the edge's.
func (e *lookers) texture(cells []place2, at place2, wood, patch bool) (t colour.Texture) {
	var seen [shades]shade
	var n, l, a, b, ll, xx, xy, yy, steps float64
	for _, c := range cells {
		x, y := at.x+c.x, at.y+c.y
		if x < 1 || y < 1 || x >= e.wide-1 || y >= e.high-1 {
			continue
		}
		i := y*e.wide + x
		if wood && !e.wood[i] {
			continue
		}
		li, ai, bi := float64(e.l[i]), float64(e.a[i]), float64(e.b[i])
		n, l, a, b, ll = n+1, l+li, a+ai, b+bi, ll+li*li
		s := &seen[min(max(int(li*shades/100), 0), shades-1)]
		s.n, s.l, s.a, s.b = s.n+1, s.l+li, s.a+ai, s.b+bi
		if patch && e.mould.far[c.y*e.mould.wide+c.x] > -edgeClear || wood && !(e.wood[i-1] && e.wood[i+1] && e.wood[i-e.wide] && e.wood[i+e.wide]) {
			continue
		}
		gx, gy := float64(e.gx[i]), float64(e.gy[i])
		xx, xy, yy, steps = xx+gx*gx, xy+gx*gy, yy+gy*gy, steps+1
	}
	if n == 0 {
		return t
	}
	t.Mean = colour.Lab{L: l / n, A: a / n, B: b / n}
	t.Spread = math.Sqrt(max(0, ll/n-l*l/n/n))
	t.Figure, t.Ground = quarter(seen[:], n/4, 1), quarter(seen[:], n/4, -1)
	if steps > 0 {
		t.Grain = math.Sqrt((xx + yy) / steps)
		if whole := xx + yy; whole > 0 {
			// The grain runs across the direction in which L* changes most.
			t.Along = math.Mod(math.Atan2(2*xy, xx-yy)*90/math.Pi+270, 180)
			t.Coherence = math.Hypot(xx-yy, 2*xy) / whole
		}
	}
	return t
}

// quarter is the mean colour of the darkest n pixels, or going down, of the lightest.
func quarter(seen []shade, n float64, way int) colour.Lab {
	i := 0
	if way < 0 {
		i = len(seen) - 1
	}
	var sum shade
	for ; i >= 0 && i < len(seen) && sum.n < n; i += way {
		s := seen[i]
		if s.n == 0 {
			continue
		}
		share := min(1, (n-sum.n)/s.n)
		sum = shade{sum.n + share*s.n, sum.l + share*s.l, sum.a + share*s.a, sum.b + share*s.b}
	}
	return colour.Lab{L: sum.l / sum.n, A: sum.a / sum.n, B: sum.b / sum.n}
}

// An outline drawn by a finger lies this many grid pixels beside the edge, and what lies as far again on
// either side of the edge is what it is a line against.
const (
	outlineOff = 3
	lineSides  = 4
)

// line is how much lighter or darker than both sides the mean course across the edge is where it
// stands out most.
func (e *lookers) line(at place2, wood bool) (most float64) {
	var course [2 * edgeReach]float64
	for k, cells := range e.mould.edge {
		n := 0.0
		for _, c := range cells {
			x, y := at.x+c.x, at.y+c.y
			if x < 0 || y < 0 || x >= e.wide || y >= e.high {
				continue
			}
			if i := y*e.wide + x; !wood || e.wood[i] {
				course[k] += float64(e.l[i])
				n++
			}
		}
		if n == 0 {
			return 0
		}
		course[k] /= n
	}
	for k := edgeReach - outlineOff; k < edgeReach+outlineOff; k++ {
		if d := course[k] - (course[k-lineSides]+course[k+lineSides])/2; math.Abs(d) > math.Abs(most) {
			most = d
		}
	}
	return most
}
