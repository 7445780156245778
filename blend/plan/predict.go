package plan

import (
	"context"

	"huewright/blend/learn"
	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/parallel"
	"huewright/internal/stat"
)

// An Expected is the colour an area is expected to have after some further coats, without the clear coat to come.
type Expected struct {
	Coating   int // of the uppermost coat: its index on the shelf
	Laid      int // coats of it, from the area as it is
	Lab       colour.Lab
	PlusMinus float64    // 95 % radius, ΔE00
	Step      colour.Lab // what the last coat alone changes of L*, a*, b*
}

// Expect predicts an area after each of some further coats, the undermost first: as it will be measured, for a log
// to compare with what is.
func Expect(ctx context.Context, w *learn.Samples, a Area, coats []Layer) ([]Expected, error) {
	ls := layers(coats).laid()
	if len(ls) == 0 {
		return nil, nil
	}
	p := newPlanner(w, &Problem{})
	best := p.best.appearances(&a, ls)
	drawn := make([][]appearance, len(p.drawn))
	if err := parallel.For(ctx, len(drawn), func(i int) { drawn[i] = p.drawn[i].appearances(&a, ls) }); err != nil {
		return nil, err
	}
	var all []Expected
	off := make([]float64, len(drawn))
	for _, l := range ls {
		for laid := 1; laid <= l.Coats; laid++ {
			n := len(all) + 1
			for i := range drawn {
				off[i] = colour.DeltaE2000(best[n].mean, drawn[i][n].mean)
			}
			step := labDifference(best[n].mean, best[n-1].mean)
			all = append(all, Expected{
				l.Coating, laid, best[n].mean, stat.Quantile(off, 0.95), colour.Lab{L: step[0], A: step[1], B: step[2]},
			})
		}
	}
	return all, nil
}

// A Prediction is a colour that was predicted, beside what was measured.
type Prediction struct {
	Predicted, Measured colour.Lab
	PlusMinus           float64 // 95 % radius of their difference, ΔE00
	DeltaE              float64 // between the two
	causes              []cause // of a surprise, the most probable first
}

// Surprise reports whether the measured colour lies outside the 95 % radius.
func (p *Prediction) Surprise() bool { return p.DeltaE > p.PlusMinus }

// Causes are what may lie behind a surprise, the most probable first; none where there is none.
func (p *Prediction) Causes() (all []fault.Note) {
	for _, c := range p.causes {
		all = append(all, c.what)
	}
	return all
}

// Predict predicts an area under coats, the undermost first, and compares the prediction with a reading of it under
// them: an index into Sample.Colours. That reading must not be among the evidence of the samples. Colours are as
// measured, without the clear coat to come.
func Predict(ctx context.Context, w *learn.Samples, a Area, coats []Layer, reading int) (Prediction, error) {
	p := newPlanner(w, &Problem{})
	f := Prediction{Predicted: p.best.final(&a, coats).mean, Measured: w.Best.Colours[reading].Lab()}
	off := make([]float64, len(p.drawn))
	if err := parallel.For(ctx, len(off), func(i int) {
		// by how much the two are further apart in this sample than in the best
		m := p.drawn[i]
		seen, end := m.sample.Colours[reading].Lab(), m.final(&a, coats).mean
		off[i] = colour.DeltaE2000(f.Predicted, colour.Lab{
			L: end.L - seen.L + f.Measured.L, A: end.A - seen.A + f.Measured.A, B: end.B - seen.B + f.Measured.B})
	}); err != nil {
		return Prediction{}, err
	}
	f.PlusMinus = stat.Quantile(off, 0.95)
	f.DeltaE = colour.DeltaE2000(f.Predicted, f.Measured)
	if !f.Surprise() {
		return f, nil
	}
	var err error
	f.causes, err = p.causes(ctx, &a, coats, reading)
	return f, err
}
