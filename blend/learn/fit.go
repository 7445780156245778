package learn

import (
	"context"
	"math"

	"gonum.org/v1/gonum/mat"

	"huewright/internal/lm"
)

// A posterior is the most probable point given prior and evidence, with the cost and its curvature there.
type posterior struct {
	at        []float64
	cost      float64 // half the sum of squared residuals, in standard deviations
	curvature *mat.SymDense
}

// solve finds the most probable point: of each component alone from several starts, since strong and weak coatings
// can explain one coat nearly equally well, then of all together with the errors that their readings share.
func (q *problem) solve(ctx context.Context) (posterior, whitening, error) {
	var start []float64
	for _, c := range q.components {
		if m, is := c.(*mixtures); is {
			start = append(start, m.starts()[0]...)
			continue
		}
		alone := newProblem(q.readings, c)
		work, white := alone.scratch(), alone.plainWhitening()
		best := posterior{cost: math.Inf(1)}
		for _, from := range c.starts() {
			if f := alone.fit(ctx, from, white, nil, work); f.cost < best.cost {
				best = f
			}
		}
		if err := ctx.Err(); err != nil {
			return posterior{}, nil, err
		}
		start = append(start, best.at...)
	}
	work := q.scratch()
	white := q.whiteningAt(start)
	best := q.fit(ctx, start, white, nil, work)
	white = q.whiteningAt(best.at)
	best = q.fit(ctx, best.at, white, nil, work)
	return best, white, ctx.Err()
}

// fit minimises the cost by Levenberg–Marquardt. Once ctx has ended it stops early, for the caller to notice.
func (q *problem) fit(ctx context.Context, start []float64, white whitening, shift *perturbation, work *scratch) posterior {
	best := lm.Minimise(ctx, &objective{q, white, shift, work}, start, lm.Options{
		Damping: 1e-2,
		Factor:  6,
		Tries:   60,
		Gain:    1e-6, // a thousandth of a standard deviation
		Longest: 2,    // in logarithms: films explode beyond
	})
	return posterior{best.X, best.Cost, best.Curvature}
}

// An objective is the cost of a problem as an [lm.Problem].
type objective struct {
	*problem
	white whitening
	shift *perturbation
	work  *scratch
}

// Cost leaves the normal equations in work, for Normal: most steps are accepted.
func (o *objective) Cost(at []float64) float64 { return o.normal(at, o.white, o.shift, o.work) }

// Normal returns the normal equations at the point that Cost was last called with.
func (o *objective) Normal(_, gradient []float64, curvature *mat.SymDense) {
	copy(gradient, o.work.gradient)
	copy(curvature.RawSymmetric().Data, o.work.square)
}
