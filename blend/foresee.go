package blend

import (
	"context"
	"math"

	"huewright/colour"
)

// A Foreseen is a colour that was predicted, beside what was measured.
type Foreseen struct {
	Predicted, Measured colour.Lab
	PlusMinus           float64 // 95 % radius of their difference, ΔE00
	DeltaE              float64 // between the two
	Causes              []Cause // of a surprise, the likeliest first; none where there is none
}

// Surprise reports whether what was measured is beyond what was to be expected.
func (f *Foreseen) Surprise() bool { return f.DeltaE > f.PlusMinus }

// Foresee says what coats of the shelf were to make of an area, the first undermost, and holds it
// against a reading of it under them: a place in World.Colours. The worlds must not have been told
// that reading as evidence. Colours are as measured, without the clear coat to come.
func Foresee(ctx context.Context, w *Worlds, a AskArea, coats []Laid, reading int) Foreseen {
	var c course
	for _, l := range coats {
		c = append(c, layer{l.Coating, l.Coats})
	}
	p := newPlanner(w, &Ask{})
	foreseen := p.best.end(&a, c).mean
	f := Foreseen{Predicted: foreseen, Measured: w.Best.Colours[reading].Lab()}
	off := make([]float64, len(p.drawn))
	p.each(ctx, len(off), func(i int) {
		// by how much the two are further apart in this world than in the likeliest
		v := p.drawn[i]
		seen, end := v.world.Colours[reading].Lab(), v.end(&a, c).mean
		off[i] = colour.DeltaE2000(foreseen, colour.Lab{
			L: end.L - seen.L + f.Measured.L, A: end.A - seen.A + f.Measured.A, B: end.B - seen.B + f.Measured.B})
	})
	f.PlusMinus = quantile(off, 0.95)
	f.DeltaE = colour.DeltaE2000(f.Predicted, f.Measured)
	if f.Surprise() {
		f.Causes = p.causes(ctx, &a, c, reading)
	}
	return f
}

// Sentences are the causes in words.
func (f *Foreseen) Sentences() (all []string) {
	for _, c := range f.Causes {
		all = append(all, c.What)
	}
	return all
}

// offBy is how far, in L*, a*, b*, a colour is from another.
func offBy(a, b colour.Lab) [3]float64 { return [3]float64{a.L - b.L, a.A - b.A, a.B - b.B} }

// logOfNone is the logarithm of how probable no difference is, where differences in L*, a*, b* lie as
// a normal distribution of these moments has it.
func (m *moments) logOfNone() float64 {
	const leastSD = 0.3 // where they were drawn from few
	var cov [3][3]float64
	var mean [3]float64
	for i := range mean {
		mean[i] = m.sum[i] / m.n
	}
	for i := range cov {
		for k := range cov[i] {
			cov[i][k] = m.sq[i][k]/m.n - mean[i]*mean[k]
		}
		cov[i][i] += leastSD * leastSD
	}
	inverse := inverse3(&cov)
	square := 0.0
	for i := range mean {
		for k := range mean {
			square += mean[i] * inverse[i][k] * mean[k]
		}
	}
	return -square/2 + math.Log(determinant(&inverse))/2
}

func determinant(m *[3][3]float64) float64 {
	return m[0][0]*(m[1][1]*m[2][2]-m[1][2]*m[2][1]) - m[0][1]*(m[1][0]*m[2][2]-m[1][2]*m[2][0]) + m[0][2]*(m[1][0]*m[2][1]-m[1][1]*m[2][0])
}
