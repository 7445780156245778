package blend

import (
	"math"

	"huewright/colour"
)

// A Foreseen is a colour that was predicted, beside what was measured.
type Foreseen struct {
	Predicted, Measured colour.Lab
	PlusMinus           float64 // 95 % radius of their difference, ΔE00
	DeltaE              float64 // between the two
}

// Surprise reports whether what was measured is beyond what was to be expected.
func (f *Foreseen) Surprise() bool { return f.DeltaE > f.PlusMinus }

// Foresee says what coats of the shelf were to make of an area, the first undermost, and holds it
// against a reading of it under them. The worlds must not have been told that reading. Colours are
// as measured, without the clear coat to come.
func Foresee(w *Worlds, a AskArea, coats []Laid, reading Measured) Foreseen {
	var c course
	for _, l := range coats {
		c = append(c, layer{l.Coating, l.Coats})
	}
	p := newPlanner(w, &Ask{})
	f := Foreseen{Predicted: p.best.end(&a, c).mean, Measured: reading.Lab}
	off := make([]float64, len(p.drawn))
	p.each(len(off), func(i int) { off[i] = colour.DeltaE2000(f.Predicted, p.drawn[i].end(&a, c).mean) })
	own := reading.Own
	if own == 0 {
		own = goodReading * inRadius
	}
	f.PlusMinus = math.Hypot(quantile(off, 0.95), own)
	f.DeltaE = colour.DeltaE2000(f.Predicted, f.Measured)
	return f
}

// Causes are what may lie behind a surprise, the likeliest first, as a person would check them: what
// the bench can see is which way the colour went.
func (f *Foreseen) Causes(start colour.Lab) []string {
	if !f.Surprise() {
		return nil
	}
	foreseen := colour.DeltaE2000(start, f.Predicted)
	done := colour.DeltaE2000(start, f.Measured)
	off := colour.DeltaE2000(f.Predicted, f.Measured)
	onTheWay := math.Abs(foreseen-done) > 0.7*off // the same change, more or less of it
	switch {
	case onTheWay && done < foreseen:
		return []string{
			"the mix was thinner than said, or not stirred up from the bottom",
			"a coat fewer was laid, or it was wiped off more than the test was",
			"the surface was sealed or filled there and took up less",
		}
	case onTheWay:
		return []string{
			"the mix was stronger than said, or the coat thicker than the test's",
			"the surface was bare, sanded coarser or porous there and took up more",
			"it is not dry: wet colour is darker; measure it again tomorrow",
		}
	case f.Measured.L < f.Predicted.L:
		return []string{
			"it is not dry: wet colour is darker and stronger; measure it again tomorrow",
			"the ground here is not the one that was measured",
			"what lies under was dissolved by the coat, or another coating was laid",
		}
	default:
		return []string{
			"the ground here is not the one that was measured",
			"the light has changed, or the photo is not tied to the first",
			"another coating was laid, or the mix was not stirred up from the bottom",
		}
	}
}
