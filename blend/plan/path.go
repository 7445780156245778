package plan

import (
	"context"
	"math"
	"slices"

	"huewright/colour"
	"huewright/internal/parallel"
	"huewright/internal/stat"
)

const overshootRisk = 0.2 // probability of overshooting from which the area is worth a look before the coat

// steps are those of layers towards a target, and one coat more: of the last coating, or of next where nothing is laid.
func (p *planner) steps(ctx context.Context, a *Area, ls layers, next int, target func(model) colour.Lab) ([]Step, error) {
	more := ls.laid()
	if len(more) == 0 {
		more = layers{{next, 0}}
	}
	more[len(more)-1].Coats++
	paths := make([][]appearance, len(p.many))
	targets, before := make([]colour.Lab, len(p.many)), make([]appearance, len(p.many))
	over := make([][]bool, len(p.many))
	if err := parallel.For(ctx, len(p.many), func(i int) {
		m := p.many[i]
		paths[i], targets[i], before[i] = m.appearances(a, more), target(m), m.baseline(a)
		over[i] = m.overshoots(a, more, paths[i], targets[i])
	}); err != nil {
		return nil, err
	}
	best := p.best.appearances(a, more)
	names := []string{""}
	for _, l := range more {
		names = append(names, slices.Repeat([]string{p.shelf()[l.Coating].Name}, l.Coats)...)
	}
	steps := make([]Step, len(best))
	off, deltaE, grain := make([]float64, len(paths)), make([]float64, len(paths)), make([]float64, len(paths))
	for n, seen := range best {
		overshot := 0.0
		for i, path := range paths {
			off[i], grain[i] = colour.DeltaE2000(seen.mean, path[n].mean), path[n].keeps(&before[i], a)
			deltaE[i] = colour.DeltaE2000(targets[i], path[n].mean)
			if over[i][n] {
				overshot++
			}
		}
		left := spread(deltaE)
		steps[n] = Step{
			Coats: n, Coating: names[n], Lab: seen.mean, PlusMinus: stat.Quantile(off, 0.95),
			DeltaE: left.Median, Low: left.Low, High: left.High, Grain: stat.Quantile(grain, 0.5), Overshoot: overshot / float64(len(paths)),
		}
	}
	return steps, nil
}

func spread(drawn []float64) Spread {
	return Spread{stat.Quantile(drawn, 0.5), stat.Quantile(drawn, 0.1), stat.Quantile(drawn, 0.9)}
}

// stopAfter returns the coat before the last, or before the first step that overshoots with more than overshootRisk where that comes
// earlier; coats where there is one or none.
func stopAfter(steps []Step, coats int) int {
	if coats < 2 {
		return coats
	}
	for _, s := range steps {
		if s.Overshoot > overshootRisk {
			return max(1, min(s.Coats-1, coats-1))
		}
	}
	return coats - 1
}

// worthACoat is the ΔE00 that nobody sees.
const worthACoat = 0.1

// overshoots reports, for every coat of some layers, whether the area ends further from the target with it than
// without it; never for number 0, the area as it is. path are the appearances under the layers, whose last coat
// is one more than is planned.
//
// A coat under another coating is judged by the appearance under all planned layers, with and without it: a base
// may well lead away from a target that what lies over it leads to. A coat of the uppermost coating is judged by
// the coats up to it, unless one still planned brings the area nearer than it was before.
func (m model) overshoots(a *Area, ls layers, path []appearance, target colour.Lab) []bool {
	over := make([]bool, len(path))
	top := len(ls) - 1
	planned := ls.with(top, ls[top].Coats-1).laid()
	n := 0
	for i := range planned {
		if i == top {
			break
		}
		was := colour.DeltaE2000(target, m.final(a, planned.with(i, 0)).mean)
		for coats := 1; coats <= planned[i].Coats; coats++ {
			is := colour.DeltaE2000(target, m.final(a, planned.with(i, coats)).mean)
			n++
			over[n] = is > was+worthACoat
			was = is
		}
	}
	nearest := math.Inf(1) // that coats still planned bring it
	for k := len(path) - 1; k > n; k-- {
		is, was := colour.DeltaE2000(target, path[k].mean), colour.DeltaE2000(target, path[k-1].mean)
		over[k] = is > was+worthACoat && nearest > was
		if k < len(path)-1 {
			nearest = min(nearest, is)
		}
	}
	return over
}
