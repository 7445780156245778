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
	if d, ok := quick2000(ref, sample); ok {
		return d
	}
	p := partsOf2000(ref, sample)
	return math.Sqrt(p.l*p.l + p.c*p.c + p.h*p.h + p.rotation*p.c*p.h)
}

// parts2000 are the parts of a CIEDE2000 difference, each divided by its weight and so of the
// size it has in the whole, positive where the sample has more.
type parts2000 struct {
	l, c, h     float64 // lightness, chroma, hue
	a, b        float64 // what c and h are made of, for colours too grey to have a hue
	rotation    float64 // how c and h lean on each other, among blues
	turn, meanH float64 // of hue, degrees: from ref to sample, −180…180; and halfway
	leastC      float64 // chroma of the greyer of the two
}

func partsOf2000(ref, sample Lab) parts2000 {
	meanC7 := pow7((math.Hypot(ref.A, ref.B) + math.Hypot(sample.A, sample.B)) / 2)
	stretch := 1 + 0.5*(1-math.Sqrt(meanC7/(meanC7+pow7(25)))) // of a*, near grey
	r := Lab{ref.L, ref.A * stretch, ref.B}.LCh()
	s := Lab{sample.L, sample.A * stretch, sample.B}.LCh()
	turn, meanH := hueDifference(r, s)
	meanL, meanC := (r.L+s.L)/2, (r.C+s.C)/2

	t := 1 - 0.17*math.Cos((meanH-30)*degree) + 0.24*math.Cos(2*meanH*degree) +
		0.32*math.Cos((3*meanH+6)*degree) - 0.20*math.Cos((4*meanH-63)*degree)
	l50 := (meanL - 50) * (meanL - 50)
	sL := 1 + 0.015*l50/math.Sqrt(20+l50)
	sC := 1 + 0.045*meanC
	sH := 1 + 0.015*meanC*t

	blue := (meanH - 275) / 25
	c7 := pow7(meanC)
	return parts2000{
		l:        (s.L - r.L) / sL,
		c:        (s.C - r.C) / sC,
		h:        2 * math.Sqrt(r.C*s.C) * math.Sin(turn/2*degree) / sH,
		a:        (sample.A - ref.A) * stretch / sC,
		b:        (sample.B - ref.B) / sC,
		rotation: -2 * math.Sqrt(c7/(c7+pow7(25))) * math.Sin(60*math.Exp(-blue*blue)*degree),
		turn:     turn,
		meanH:    meanH,
		leastC:   math.Min(r.C, s.C),
	}
}

// hueDifference returns how far the hue turns from r to s, −180…180, and the hue halfway, both
// in degrees. Without chroma there is no hue: no turn, and the other's hue is the mean.
func hueDifference(r, s LCh) (turn, mean float64) {
	const opposite = 180 + 1e-9
	turn, sum := s.H-r.H, s.H+r.H
	switch {
	case r.C == 0 || s.C == 0:
		return 0, sum
	case math.Abs(turn) <= opposite:
		return turn, sum / 2
	case sum < 360:
		mean = sum/2 + 180
	default:
		mean = sum/2 - 180
	}
	return turn - math.Copysign(360, turn), mean
}

const degree = math.Pi / 180

func pow7(x float64) float64 {
	x3 := x * x * x
	return x3 * x3 * x
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
// K2 0.015. It leans on the chroma of ref, so exchanging the colours changes it.
//
// Source: CIE 116-1995.
func DeltaE94(ref, sample Lab) float64 { return deltaE94(ref, sample, 1, 0.045, 0.015) }

// DeltaE94Textile is DeltaE94 with the weights for textiles: kL 2, K1 0.048, K2 0.014.
func DeltaE94Textile(ref, sample Lab) float64 { return deltaE94(ref, sample, 2, 0.048, 0.014) }

func deltaE94(ref, sample Lab, kL, k1, k2 float64) float64 {
	dL, dC, dH := partsOf(ref, sample)
	c := math.Hypot(ref.A, ref.B)
	return norm(dL/kL, dC/(1+k1*c), dH/(1+k2*c))
}

// DeltaECMC returns the CMC(l:c) difference: 2:1 to judge what is acceptable, 1:1 what can be
// perceived. It leans on ref, so exchanging the colours changes it. It panics unless l and c
// are positive.
//
// Source: Clarke, McDonald, Rigg (1984), J. Soc. Dyers Colour. 100(4), 128–132.
func DeltaECMC(ref, sample Lab, l, c float64) float64 {
	if !(l > 0 && c > 0) {
		panic(fmt.Sprintf("colour: CMC(%g:%g): both weights must be positive", l, c))
	}
	dL, dC, dH := partsOf(ref, sample)
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

// partsOf splits a difference into lightness, chroma and the size of what is left, hue.
func partsOf(ref, sample Lab) (dL, dC, dH float64) {
	dL = sample.L - ref.L
	dC = math.Hypot(sample.A, sample.B) - math.Hypot(ref.A, ref.B)
	dA, dB := sample.A-ref.A, sample.B-ref.B
	return dL, dC, math.Sqrt(max(0, dA*dA+dB*dB-dC*dC)) // rounding can leave less than nothing
}

func norm(a, b, c float64) float64 { return math.Sqrt(a*a + b*b + c*c) }
