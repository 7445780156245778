package plan

import (
	"context"

	"huewright/blend/learn"
	"huewright/colour"
	"huewright/internal/parallel"
	"huewright/internal/stat"
)

// A Prediction is a colour that was predicted, beside what was measured.
type Prediction struct {
	Predicted, Measured colour.Lab
	PlusMinus           float64 // 95 % radius of their difference, ΔE00
	DeltaE              float64 // between the two
	causes              []cause // of a surprise, the likeliest first; none where there is none
}

// Surprise reports whether what was measured is beyond what was to be expected.
func (f *Prediction) Surprise() bool { return f.DeltaE > f.PlusMinus }

// Predict says what coats of the shelf were to make of an area, the first undermost, and holds it
// against a reading of it under them: a place in World.Colours. The worlds must not have been told
// that reading as evidence. Colours are as measured, without the clear coat to come.
func Predict(ctx context.Context, w *learn.Samples, a Area, coats []Laid, reading int) (Prediction, error) {
	var c layers
	for _, l := range coats {
		c = append(c, layer{l.Coating, l.Coats})
	}
	p := newPlanner(w, &Problem{})
	foreseen := p.best.final(&a, c).mean
	f := Prediction{Predicted: foreseen, Measured: w.Best.Colours[reading].Lab()}
	off := make([]float64, len(p.drawn))
	if err := parallel.For(ctx, len(off), func(i int) {
		// by how much the two are further apart in this world than in the likeliest
		v := p.drawn[i]
		seen, end := v.sample.Colours[reading].Lab(), v.final(&a, c).mean
		off[i] = colour.DeltaE2000(foreseen, colour.Lab{
			L: end.L - seen.L + f.Measured.L, A: end.A - seen.A + f.Measured.A, B: end.B - seen.B + f.Measured.B})
	}); err != nil {
		return Prediction{}, err
	}
	f.PlusMinus = stat.Quantile(off, 0.95)
	f.DeltaE = colour.DeltaE2000(f.Predicted, f.Measured)
	if f.Surprise() {
		var err error
		if f.causes, err = p.causes(ctx, &a, c, reading); err != nil {
			return Prediction{}, err
		}
	}
	return f, nil
}

// Causes are the causes in words.
func (f *Prediction) Causes() (all []string) {
	for _, c := range f.causes {
		all = append(all, c.what)
	}
	return all
}

// labDifference is how far, in L*, a*, b*, a colour is from another.
func labDifference(a, b colour.Lab) [3]float64 { return [3]float64{a.L - b.L, a.A - b.A, a.B - b.B} }
