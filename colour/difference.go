package colour

import (
	"fmt"
	"math"
)

// DeltaE2000 returns the CIEDE2000 difference between a reference and a sample, with
// kL = kC = kH = 1. It is symmetric, and zero only for equal colours. The formula was fitted
// to differences below 5: treat larger results as an ordering, not as a size.
//
// When the two hues are opposite the mean hue has two answers. We take the one the published
// data take, hues closer than 1e-9° to opposite counting as opposite, so that it does not
// depend on how a processor rounds. See pair 10 in TestDeltaE2000Sharma.
//
// Source: Sharma, Wu, Dalal (2005), Color Res. Appl. 30(1), 21–30. doi:10.1002/col.20070.
func DeltaE2000(ref, sample Lab) float64 {
	if d, ok := fastCIEDE2000(ref, sample); ok {
		return d
	}
	d := newCIEDE2000(ref, sample)
	return d.whole()
}

// DeltaE76 returns the distance of two colours in CIELAB, ΔE*ab. It overstates differences
// between strong colours.
//
// Source: CIE 15:2018, 8.2.1.3.
func DeltaE76(ref, sample Lab) float64 {
	dL, dA, dB := sample.L-ref.L, sample.A-ref.A, sample.B-ref.B
	return math.Sqrt(dL*dL + dA*dA + dB*dB)
}

// DeltaE94 returns the CIE94 difference with the weights for graphic arts: kL 1, K1 0.045,
// K2 0.015. Its weights depend on the chroma of ref, so exchanging the colours changes it.
//
// Source: CIE 116-1995.
func DeltaE94(ref, sample Lab) float64 {
	dL, dC, dH := lightnessChromaHue(ref, sample)
	c := math.Hypot(ref.A, ref.B)
	return norm(dL, dC/(1+0.045*c), dH/(1+0.015*c))
}

// DeltaECMC returns the CMC(l:c) difference: 2:1 to judge what is acceptable, 1:1 what can be
// perceived. Its weights depend on ref, so exchanging the colours changes it. It panics unless l and c
// are positive.
//
// Source: Clarke, McDonald, Rigg (1984), J. Soc. Dyers Colour. 100(4), 128–132.
func DeltaECMC(ref, sample Lab, l, c float64) float64 {
	if !(l > 0 && c > 0) {
		panic(fmt.Sprintf("colour: CMC(%g:%g): both weights must be positive", l, c))
	}
	dL, dC, dH := lightnessChromaHue(ref, sample)
	r := ref.LCh()

	sL := 0.511
	if r.L >= 16 {
		sL = 0.040975 * r.L / (1 + 0.01765*r.L)
	}
	sC := 0.0638*r.C/(1+0.0131*r.C) + 0.638
	t := 0.36 + math.Abs(0.4*math.Cos((r.H+35)*degree))
	if r.H >= 164 && r.H <= 345 {
		t = 0.56 + math.Abs(0.2*math.Cos((r.H+168)*degree))
	}
	c4 := r.C * r.C * r.C * r.C
	f := math.Sqrt(c4 / (c4 + 1900))
	return norm(dL/(l*sL), dC/(c*sC), dH/(sC*(f*t+1-f)))
}

// lightnessChromaHue splits a difference into lightness, chroma and the size of what is left, hue.
func lightnessChromaHue(ref, sample Lab) (dL, dC, dH float64) {
	dL = sample.L - ref.L
	dC = math.Hypot(sample.A, sample.B) - math.Hypot(ref.A, ref.B)
	dA, dB := sample.A-ref.A, sample.B-ref.B
	return dL, dC, math.Sqrt(max(0, dA*dA+dB*dB-dC*dC)) // rounding can leave less than nothing
}

func norm(a, b, c float64) float64 { return math.Sqrt(a*a + b*b + c*c) }
