package plan

import (
	"context"
	"fmt"

	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/parallel"
)

// lamp is the other light that a piece is judged in: a filament lamp, the warmest of those in use. Under a warm LED differences are
// about 0.4 ΔE00 other (TestLampAgainstMeasuredSpectra).
var lamp = spectra.LightA

// lampOf returns, by sample, the colour of area i under layers to an eye used to the lamp.
func (p *planner) lampOf(ctx context.Context, i int, ls layers) ([]colour.Lab, error) {
	key := fmt.Sprint(i, ls.laid())
	if seen, known := p.lamps[key]; known {
		return seen, nil
	}
	seen := make([]colour.Lab, len(p.many))
	if err := parallel.For(ctx, len(seen), func(n int) { seen[n] = p.many[n].byLamp(&p.problem.Areas[i], ls) }); err != nil {
		return nil, err
	}
	p.lamps[key] = seen
	return seen, nil
}

// apartByLamp returns how areas i and k then differ in its light.
func (p *planner) apartByLamp(ctx context.Context, i, k int, on []layers) (LampView, error) {
	x, err := p.lampOf(ctx, i, on[i])
	if err != nil {
		return LampView{}, err
	}
	y, err := p.lampOf(ctx, k, on[k])
	if err != nil {
		return LampView{}, err
	}
	of := [2]colour.Lab{p.best.byLamp(&p.problem.Areas[i], on[i]), p.best.byLamp(&p.problem.Areas[k], on[k])}
	return LampView{spread(differences(x, y)), of}, nil
}

// toTargetByLamp returns how area i then differs from its target there.
func (p *planner) toTargetByLamp(ctx context.Context, i int, ls layers) (LampView, error) {
	a := &p.problem.Areas[i]
	seen, err := p.lampOf(ctx, i, ls)
	if err != nil {
		return LampView{}, err
	}
	target := make([]colour.Lab, len(seen))
	for n, m := range p.many {
		target[n] = m.targetSpectrum(a).LabUnder(lamp)
	}
	return LampView{spread(differences(target, seen)), [2]colour.Lab{p.best.targetSpectrum(a).LabUnder(lamp), p.best.byLamp(a, ls)}}, nil
}

// byLamp returns the colour of an area under layers to an eye used to the lamp.
func (m model) byLamp(a *Area, ls layers) colour.Lab { return m.seenEnd(m.lay(a, ls, nil)).lamp }

// differences are those of two colours, ΔE00, by sample.
func differences(x, y []colour.Lab) []float64 {
	off := make([]float64, len(x))
	for n := range off {
		off[n] = colour.DeltaE2000(x[n], y[n])
	}
	return off
}
