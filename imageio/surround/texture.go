package surround

import (
	"math"

	"huewright/colour"
)

// shades is how many bins L* is divided into when a quarter of the pixels is looked for.
const shades = 512

// edgeClear is how far inside a patch gradients are looked at.
const edgeClear = 1.5

// A shade is sums over the pixels in a bin.
type shade struct{ n, l, a, b float64 }

// texture is that of some cells of the template at a place. Of a patch the gradients next to its outline are not
// looked at: they are the edge's.
func (e *gradientGrid) texture(cells []cell, at cell, wood, patch bool) (t colour.Texture) {
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
		if patch && e.template.far[c.y*e.template.wide+c.x] > -edgeClear ||
			wood && !(e.wood[i-1] && e.wood[i+1] && e.wood[i-e.wide] && e.wood[i+e.wide]) {
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

const (
	outlineOff = 3 // pixels that an outline drawn by a finger lies beside the edge
	lineSides  = 4 // pixels on either side of a line to what it is compared with
)

// line is how much lighter or darker than both sides the mean profile across the edge is where it stands out
// most.
func (e *gradientGrid) line(at cell, wood bool) (most float64) {
	var profile [2 * edgeReach]float64
	for k, cells := range e.template.edge {
		n := 0.0
		for _, c := range cells {
			x, y := at.x+c.x, at.y+c.y
			if x < 0 || y < 0 || x >= e.wide || y >= e.high {
				continue
			}
			if i := y*e.wide + x; !wood || e.wood[i] {
				profile[k] += float64(e.l[i])
				n++
			}
		}
		if n == 0 {
			return 0
		}
		profile[k] /= n
	}
	for k := edgeReach - outlineOff; k < edgeReach+outlineOff; k++ {
		if d := profile[k] - (profile[k-lineSides]+profile[k+lineSides])/2; math.Abs(d) > math.Abs(most) {
			most = d
		}
	}
	return most
}
