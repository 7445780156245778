package carry

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"huewright/imageio"
	"huewright/imageio/internal/plane"
	"huewright/internal/lm"
)

// What relief is expected to be like. Our own choice, tried on drawn cabinets with frames 9 mm proud.
const (
	reliefSD    = 15.0 // mm by which areas and slips usually lie before or behind one another: doors, mouldings, legs
	deepest     = 40.0 // mm that are looked for either way
	levelSD     = 0.01 // mm, of what is held to a plane
	reliefReach = 8    // pixels of the small picture by which relief may move a place
	placeOff    = 0.7  // pixels of it by which a place is usually off that is found again
	closely     = 2.0  // pixels of it within which a place counts for a plane
	// outOfTrue is the share of the photo's width by which an outline may be off for what is not known of its plane.
	outOfTrue = 0.002
)

// A relief is a face whose areas lie on several planes, parallel to one another: a frame stands proud of its panels. What lies z behind the
// plane of the slips, which a photo shows at K·(r₁ r₂ t)·(x, y, 1)ᵀ, is shown at K·(r₁ r₂ t + z·r₃)·(x, y, 1)ᵀ. So the planes are carried
// by
//
//	H(z) = K₂·(r₁ r₂ t + z·r₃)₂ · ((r₁ r₂ t + z·r₃)₁)⁻¹·K₁⁻¹ ,
//
// which differ from H(0) by one number each, once the two poses are known: slips and focal lengths give them, and what is seen of all
// planes makes them sure. To first order that is plane and parallax, H(z) = H(0) + ρ·e·lᵀ, with the second photo's epipole e and the
// vanishing line l of the planes in the first.
//
// Source: Hartley, Zisserman (2004), Multiple View Geometry, 2nd ed., section 13.3 (from memory).
type relief struct {
	slips    []both
	from, to lens
	outlines []imageio.Outline
	found    []pair
	on       []int   // the outline that each of them lies on
	level    []bool  // outlines of which too little is seen to give them a plane of their own
	noise    float64 // pixels of the second photo by which places are off
	cost     float64
	// x are two poses; of each slip but the first where it lies, how it is turned and how far behind; and how far behind each outline is.
	x         []float64
	curvature *mat.SymDense // of the cost
}

func (r *relief) outlineAt() int { return 12 + 4*(len(r.slips)-1) }

// carries is the homography of a plane that lies behind that of the first slip, mm.
func (r *relief) carries(x []float64, behind float64) plane.Homography {
	a, b := pose(x[:6]), pose(x[6:12])
	first, second := r.from.behind(&a, behind), r.to.behind(&b, behind)
	back := first.Inverted()
	return back.Then(&second)
}

// behind is the homography of a plane that lies behind another.
func (l *lens) behind(p *pose, mm float64) plane.Homography {
	moved, turn := *p, rotation(p[:3])
	for k := range 3 {
		moved[3+k] += mm * turn[k][2]
	}
	return l.homography(&moved)
}

// byRelief carries each outline by a plane of its own, where that explains what is seen of the face better than the one plane of m. The
// error is the context's.
func (m *Match) byRelief(ctx context.Context, a *aligner, slips []both, from, to lens) error {
	found, _, err := a.seekAll(ctx, 0, &m.plane, reliefReach)
	if err != nil {
		return err
	}
	r := &relief{slips: slips, from: from, to: to, outlines: m.outlines, noise: placeOff * a.to[0].scale}
	for _, f := range found {
		if n := smallestRound(m.outlines, f.from); n >= 0 {
			r.found, r.on = append(r.found, f), append(r.on, n)
		}
	}
	if len(r.found) < leastPairs {
		return nil
	}
	var best *relief
	for _, start := range poses(ctx, slips, from, to) {
		try := *r
		try.settle(ctx, start)
		if best == nil || try.cost < best.cost {
			best = &try
		}
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	wide := float64(a.to[0].wide) * a.to[0].scale
	sd := m.takeRelief(best, a.to[0].scale, wide)
	if sd == nil {
		return nil
	}
	return m.sweepUntold(ctx, best, sd, wide)
}

// smallestRound is the smallest outline round a place: of a panel in its frame the panel. It is -1 without one.
func smallestRound(outlines []imageio.Outline, at imageio.Point) int {
	best, least := -1, math.Inf(1)
	for n, o := range outlines {
		low, high := o.Bounds()
		if size := (high.X - low.X) * (high.Y - low.Y); size < least && o.Contains(at) {
			best, least = n, size
		}
	}
	return best
}

// settle fits everything, from poses and places of slips that lie on one plane. Each outline begins on the plane that most of its places
// agree about.
func (r *relief) settle(ctx context.Context, start []float64) {
	x := slices.Clone(start[:12])
	for i := range r.slips[1:] {
		x = append(append(x, start[12+3*i:15+3*i]...), 0)
	}
	for n := range r.outlines {
		best, most := 0.0, 0.0
		for z := -deepest; z <= deepest; z += 2 {
			h, sum := r.carries(x, z), 0.0
			for i := range r.found {
				if r.on[i] == n {
					d := off(&h, &r.found[i]) / r.noise
					sum += 1 / (1 + d*d)
				}
			}
			if sum > most+0.5 || sum > most && math.Abs(z) < math.Abs(best) {
				best, most = z, sum
			}
		}
		x = append(x, best)
	}
	r.level = make([]bool, len(r.outlines))
	for {
		result := lm.Minimise(ctx, r.problem(len(x)), x, lm.Options{Tries: 60})
		r.x, r.cost, r.curvature = result.X, result.Cost, result.Curvature
		again := false
		for n, close := range r.close() {
			if close < leastPairs && !r.level[n] {
				r.level[n], again = true, true
				x[r.outlineAt()+n] = 0
			}
		}
		if !again || ctx.Err() != nil {
			break
		}
	}
}

// close counts the places of each outline that are found where its plane says.
func (r *relief) close() []int {
	n := make([]int, len(r.outlines))
	for i := range r.found {
		h := r.carries(r.x, r.x[r.outlineAt()+r.on[i]])
		if off(&h, &r.found[i]) < closely*r.noise/placeOff {
			n[r.on[i]]++
		}
	}
	return n
}

// problem is the fit as least squares, with its derivatives by differences. Places that are found again may be found wrong: of their
// errors d, in standard deviations, ln(1+d²) counts, as of a Cauchy distribution.
func (r *relief) problem(unknowns int) lm.Problem {
	n := 16*len(r.slips) + 4 + unknowns - 12 + 2*len(r.found)
	near := make([]float64, n)
	return lm.Residuals(n, unknowns, func(x, res []float64, j *mat.Dense) {
		r.residuals(x, res)
		if j == nil {
			return
		}
		for k := range x {
			step := 1e-5 * max(1, math.Abs(x[k]))
			moved := slices.Clone(x)
			moved[k] += step
			r.residuals(moved, near)
			for i := range near {
				j.Set(i, k, (near[i]-res[i])/step)
			}
		}
	})
}

func (r *relief) residuals(x, res []float64) {
	n := 0
	add := func(v float64) { res[n], n = v, n+1 }
	a, b := pose(x[:6]), pose(x[6:12])
	for i, s := range r.slips {
		at := [4]float64{}
		if i > 0 {
			at = [4]float64(x[12+4*(i-1):])
		}
		sin, cos := math.Sincos(at[2])
		first, second := r.from.behind(&a, at[3]), r.to.behind(&b, at[3])
		for k, c := range slipCorners {
			u, v := at[0]+c.X*cos-c.Y*sin, at[1]+c.X*sin+c.Y*cos
			p, q := first.Point(u, v), second.Point(u, v)
			add((p.X - s.from.Corners[k].X) / cornerSD)
			add((p.Y - s.from.Corners[k].Y) / cornerSD)
			add((q.X - s.to.Corners[k].X) / cornerSD)
			add((q.Y - s.to.Corners[k].Y) / cornerSD)
		}
		if i > 0 {
			add(at[0] / placeSD)
			add(at[1] / placeSD)
			add(at[2] / placeSD)
			add(at[3] / reliefSD)
		}
	}
	for _, p := range [2]*pose{&a, &b} {
		turn := rotation(p[:3])
		add(turn[0][2] / usualSlant)
		add(turn[1][2] / usualSlant)
	}
	planes := make([]plane.Homography, len(r.outlines))
	for i := range planes {
		z := x[r.outlineAt()+i]
		planes[i] = r.carries(x, z)
		if r.level[i] {
			z *= reliefSD / levelSD
		}
		add(z / reliefSD)
	}
	for i := range r.found {
		if r.level[r.on[i]] {
			add(0)
			add(0)
			continue
		}
		at, f := planes[r.on[i]].Point(r.found[i].from.X, r.found[i].from.Y), &r.found[i]
		dx, dy := (at.X-f.to.X)/r.noise, (at.Y-f.to.Y)/r.noise
		square := dx*dx + dy*dy
		soft := 1.0
		if square > 1e-9 {
			soft = math.Sqrt(math.Log1p(square) / square)
		}
		add(dx * soft)
		add(dy * soft)
	}
}

// takeRelief carries outlines by the planes of a relief where they explain the places that were found better than one plane: by the
// criterion of Schwarz, with one unknown for each outline that has a plane of its own. step is the pixels of the second photo to one of its
// small picture, wide its width. It returns the standard deviations of their depths, mm, and nil where one plane explains them.
//
// Source: Schwarz (1978), Estimating the dimension of a model, Ann. Statist. 6(2), 461–464; from memory.
func (m *Match) takeRelief(r *relief, step, wide float64) (sd []float64) {
	planes := make([]plane.Homography, len(r.outlines))
	for n := range planes {
		planes[n] = r.carries(r.x, r.x[r.outlineAt()+n])
		if !sensible(&planes[n], faceOf(r.outlines[n:n+1], m.from.photo)) {
			return nil
		}
	}
	gain, close := 0.0, make([]int, len(planes))
	var in []pair
	for i := range r.found {
		flat, own := off(&m.plane, &r.found[i])/r.noise, off(&planes[r.on[i]], &r.found[i])/r.noise
		gain += (math.Log1p(flat*flat) - math.Log1p(own*own)) / 2
		if own*r.noise < closely*step {
			close[r.on[i]]++
			in = append(in, r.found[i])
		}
	}
	unknowns := 0.0
	for _, level := range r.level {
		if !level {
			unknowns++
		}
	}
	if gain < unknowns*math.Log(float64(len(r.found)))/2 {
		return nil
	}
	var factor mat.Cholesky
	covariance := mat.NewSymDense(len(r.x), nil)
	if !factor.Factorize(r.curvature) || factor.InverseTo(covariance) != nil {
		return nil
	}
	m.planes, m.in, m.untold = planes, in, make([]bool, len(planes))
	for n := range planes {
		at := r.outlineAt() + n
		further, middle := r.carries(r.x, r.x[at]+1), r.outlines[n].Centre()
		parallax := distance(further.Point(middle.X, middle.Y), planes[n].Point(middle.X, middle.Y))
		sd = append(sd, math.Sqrt(covariance.At(at, at)))
		m.untold[n] = close[n] < leastPairs || parallax*sd[n] > outOfTrue*wide
	}
	return sd
}
