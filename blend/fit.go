package blend

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"huewright/colour"
)

// A sight is one piece of evidence as the fit sees it: a colour that was seen, with the
// standard deviation of what may be wrong about it, and what it was seen of.
type sight struct {
	seen   colour.Lab
	sd     float64
	opaque bool            // the coating so thick that no ground shows; else
	ground colour.Spectrum // under
	coats  float64         // so many coats
}

// predict returns the colour that p foresees, and how it changes with each unknown.
func (v *sight) predict(p *point) (colour.Lab, *[3]point) {
	var (
		xyz    [3]float64
		slopes [3]point // of X, Y, Z, then of L*, a*, b*
	)
	for i, f := range p.films() {
		r, byK, byS := f.seenSlopes(v, i)
		at, w := places[i], &daylight[i]
		left, right := at.left, at.left+1
		kl, kr := byK*(1-at.toRight), byK*at.toRight
		sl, sr := byS*(1-at.toRight), byS*at.toRight
		for c := range 3 {
			xyz[c] += w[c] * r
			slopes[c][left] += w[c] * kl
			slopes[c][right] += w[c] * kr
			slopes[c][knots+left] += w[c] * sl
			slopes[c][knots+right] += w[c] * sr
		}
	}
	c := colour.XYZ{X: xyz[0], Y: xyz[1], Z: xyz[2]}
	m := labSlopes(c)
	for j := range unknowns {
		x, y, z := slopes[0][j], slopes[1][j], slopes[2][j]
		for c := range 3 {
			slopes[c][j] = m[c][0]*x + m[c][1]*y + m[c][2]*z
		}
	}
	return c.Lab(), &slopes
}

func (f Film) seenSlopes(v *sight, band int) (r, byLogK, byLogS float64) {
	if v.opaque {
		r, byLogK = f.limitSlopes()
		return r, byLogK, -byLogK
	}
	return f.overSlopes(v.ground[band], v.coats)
}

// A prior says what to expect of any coating before there is evidence: how much it absorbs and
// scatters in the mean over the knots, and how far either may change from knot to knot. All are
// in natural logarithms.
type prior struct {
	meanK, meanKSD, stepK float64
	meanS, meanSSD, stepS float64
}

// A posterior is the most probable point given prior and evidence, the cost there, and how
// sharply the cost rises round it.
type posterior struct {
	at        point
	cost      float64 // half the sum of squares, in standard deviations
	curvature *mat.SymDense
}

// normal returns the cost at p, its gradient, and the Gauss–Newton approximation of its
// curvature.
func (pr *prior) normal(p *point, sights []sight, white whitening) (cost float64, gradient point, curvature *mat.SymDense) {
	var square [unknowns][unknowns]float64
	add := func(residual float64, slope *point) {
		cost += residual * residual / 2
		for i, si := range slope {
			if si == 0 {
				continue
			}
			gradient[i] += si * residual
			for j := i; j < unknowns; j++ {
				square[i][j] += si * slope[j]
			}
		}
	}
	white.eachResidual(p, sights, add)
	pr.eachTerm(p, add)
	curvature = mat.NewSymDense(unknowns, nil)
	for i := range unknowns {
		for j := i; j < unknowns; j++ {
			curvature.SetSym(i, j, square[i][j])
		}
	}
	return cost, gradient, curvature
}

// eachResidual hands on how far what p foresees is from what was seen, in standard deviations.
func (w whitening) eachResidual(p *point, sights []sight, add func(residual float64, slope *point)) {
	residuals := make([]float64, 0, 3*len(sights))
	slopes := make([]point, 0, 3*len(sights))
	for i := range sights {
		v := &sights[i]
		lab, by := v.predict(p)
		residuals = append(residuals, lab.L-v.seen.L, lab.A-v.seen.A, lab.B-v.seen.B)
		slopes = append(slopes, by[:]...)
	}
	for i := range residuals {
		row := []float64{1 / sights[i/3].sd}
		from := i
		if w != nil {
			row, from = w[i], 0
		}
		sum, slope := 0.0, point{}
		for k, weight := range row {
			sum += weight * residuals[from+k]
			for j, v := range slopes[from+k] {
				slope[j] += weight * v
			}
		}
		add(sum, &slope)
	}
}

// eachTerm hands on what p deviates from the prior, in standard deviations, term by term.
func (pr *prior) eachTerm(p *point, add func(residual float64, slope *point)) {
	half := func(from int, mean, meanSD, step float64) {
		var slope point
		sum := 0.0
		for i := from; i < from+knots; i++ {
			slope[i] = 1 / (knots * meanSD)
			sum += p[i]
		}
		add((sum/knots-mean)/meanSD, &slope)
		for i := from; i < from+knots-1; i++ {
			slope = point{}
			slope[i], slope[i+1] = -1/step, 1/step
			add((p[i+1]-p[i])/step, &slope)
		}
	}
	half(0, pr.meanK, pr.meanKSD, pr.stepK)
	half(knots, pr.meanS, pr.meanSSD, pr.stepS)
}

// fit climbs down from start to a point that no small step betters, by Levenberg's and
// Marquardt's method.
func (pr *prior) fit(start point, sights []sight, white whitening) posterior {
	const (
		mostSteps   = 60
		mostDamping = 1e8
		settled     = 1e-6 // of cost: a thousandth of a standard deviation
		longest     = 2.0  // step of one unknown, in logs: films explode beyond
	)
	best := posterior{at: start}
	var gradient point
	best.cost, gradient, best.curvature = pr.normal(&best.at, sights, white)
	damping := 1e-2
	for range mostSteps {
		step, ok := dampedStep(best.curvature, &gradient, damping)
		if !ok || damping > mostDamping {
			break
		}
		next := best.at
		for i := range next {
			next[i] += min(max(step[i], -longest), longest)
		}
		cost, g, curvature := pr.normal(&next, sights, white)
		if !(cost < best.cost) { // also when it is not a number
			damping *= 6
			continue
		}
		gained := best.cost - cost
		best, gradient = posterior{next, cost, curvature}, g
		if gained < settled {
			break
		}
		damping = max(damping/6, 1e-9)
	}
	return best
}

// dampedStep solves (C + damping·diag C) step = −gradient.
func dampedStep(curvature *mat.SymDense, gradient *point, damping float64) (step point, ok bool) {
	damped := mat.NewSymDense(unknowns, nil)
	damped.CopySym(curvature)
	for i := range unknowns {
		damped.SetSym(i, i, damped.At(i, i)*(1+damping))
	}
	var factors mat.Cholesky
	if !factors.Factorize(damped) {
		return step, false
	}
	right := mat.NewVecDense(unknowns, nil)
	for i, g := range gradient {
		right.SetVec(i, -g)
	}
	solution := mat.NewVecDense(unknowns, step[:])
	if err := factors.SolveVecTo(solution, right); err != nil {
		return step, !math.IsNaN(step[0]) // badly conditioned, yet solved
	}
	return step, true
}
