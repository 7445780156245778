package plan

import (
	"context"

	"huewright/blend/learn"
	"huewright/colour"
	"huewright/internal/parallel"
	"huewright/internal/stat"
)

// An Expected is the colour an area is expected to have after some coats more, without the clear
// coat to come.
type Expected struct {
	Coating   int // of the uppermost coat: its place on the shelf
	Laid      int // coats of it, from the area as it is
	Lab       colour.Lab
	PlusMinus float64    // 95 % radius, ΔE00
	Step      colour.Lab // what the last coat alone changes of L*, a*, b*
}

// Expect says what an area is expected to look like after each of some coats, the first undermost:
// as it will be measured, for a log to hold against what comes.
func Expect(ctx context.Context, w *learn.Samples, a Area, coats []Laid) ([]Expected, error) {
	var c layers
	for _, l := range coats {
		if l.Coats > 0 {
			c = append(c, layer{l.Coating, l.Coats})
		}
	}
	if len(c) == 0 {
		return nil, nil
	}
	p := newPlanner(w, &Problem{})
	best := p.best.appearances(&a, c)
	walks := make([][]appearance, len(p.drawn))
	if err := parallel.For(ctx, len(walks), func(i int) { walks[i] = p.drawn[i].appearances(&a, c) }); err != nil {
		return nil, err
	}
	var all []Expected
	for _, l := range c {
		for laid := 1; laid <= l.count; laid++ {
			n := len(all) + 1
			off := make([]float64, len(walks))
			for i := range walks {
				off[i] = colour.DeltaE2000(best[n].mean, walks[i][n].mean)
			}
			was, is := best[n-1].mean, best[n].mean
			all = append(all, Expected{l.coating, laid, is, stat.Quantile(off, 0.95), colour.Lab{L: is.L - was.L, A: is.A - was.A, B: is.B - was.B}})
		}
	}
	return all, nil
}
