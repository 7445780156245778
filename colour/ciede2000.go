package colour

import "math"

// ciede2000 holds the components of a CIEDE2000 difference, each divided by its weight and so of the
// size it has in the whole, positive where the sample has more.
type ciede2000 struct {
	l, c, h     float64 // lightness, chroma, hue
	a, b        float64 // the same as c and h together, for colours too grey to have a hue
	rotation    float64 // the interaction of c and h, among blues
	turn, meanH float64 // of hue, degrees: from ref to sample, −180…180; and halfway
	leastC      float64 // chroma of the greyer of the two
}

func newCIEDE2000(ref, sample Lab) ciede2000 {
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
	return ciede2000{
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

// whole is the difference that the components make up.
func (d *ciede2000) whole() float64 {
	return math.Sqrt(d.l*d.l + d.c*d.c + d.h*d.h + d.rotation*d.c*d.h)
}

func pow7(x float64) float64 {
	x3 := x * x * x
	return x3 * x3 * x
}
