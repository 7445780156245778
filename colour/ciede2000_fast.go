package colour

import "math"

// fastCIEDE2000 is DeltaE2000 without angles. A hue is a unit vector; the mean of two is the direction of their
// sum, and cosines of its multiples come from its own cosine and sine. The angle itself is computed only
// among blues, where chroma and hue interact. ok is false where the hues are opposite or nearly so, since their sum
// then has no direction: see hueDifference.
//
// With u, v the unit vectors of the two hues, 2 sin(Δh/2) = ±|v − u|, of the sign of u × v.
func fastCIEDE2000(ref, sample Lab) (deltaE float64, ok bool) {
	c1, c2 := math.Sqrt(ref.A*ref.A+ref.B*ref.B), math.Sqrt(sample.A*sample.A+sample.B*sample.B)
	c7 := pow7((c1 + c2) / 2)
	stretch := 1.5 - 0.5*math.Sqrt(c7/(c7+to7of25))
	a1, a2 := ref.A*stretch, sample.A*stretch
	c1, c2 = math.Sqrt(a1*a1+ref.B*ref.B), math.Sqrt(a2*a2+sample.B*sample.B)

	meanL, meanC := (ref.L+sample.L)/2, (c1+c2)/2
	l50 := (meanL - 50) * (meanL - 50)
	dL := (sample.L - ref.L) / (1 + 0.015*l50/math.Sqrt(20+l50))
	dC := (c2 - c1) / (1 + 0.045*meanC)
	if c1 < nearGrey || c2 < nearGrey {
		if c1 != 0 && c2 != 0 {
			return 0, false // rounding would decide the hue
		}
		// Without chroma there is no hue, nor a difference of it.
		return math.Sqrt(dL*dL + dC*dC), true
	}

	x1, y1, x2, y2 := a1/c1, ref.B/c1, a2/c2, sample.B/c2
	x, y := x1+x2, y1+y2
	length := x*x + y*y
	if !(length > nearlyOpposite) {
		return 0, false
	}
	length = 1 / math.Sqrt(length)
	cos, sin := x*length, y*length
	cos2, sin2 := 2*cos*cos-1, 2*sin*cos
	cos3, sin3 := cos*(2*cos2-1), sin*(2*cos2+1)
	cos4, sin4 := 2*cos2*cos2-1, 2*sin2*cos2
	t := 1 - 0.17*(cos*cos30+sin*sin30) + 0.24*cos2 + 0.32*(cos3*cos6-sin3*sin6) - 0.20*(cos4*cos63+sin4*sin63)

	dx, dy := x2-x1, y2-y1
	dH := math.Sqrt(c1*c2*(dx*dx+dy*dy)) / (1 + 0.015*meanC*t)
	if x1*y2-x2*y1 < 0 {
		dH = -dH
	}
	square := dL*dL + dC*dC + dH*dH
	// The rotation term. The formula counts hues from 0° to 360° without wrapping: 0° is 275° away from 275°, not 85°.
	// So the first quadrant, where woods lie, has none of it, nor have hues further than 130° from 275°:
	// exp(−(130/25)²) < 2e-12.
	if toBlue := cos*cos275 + sin*sin275; toBlue > cos130 && (sin < 0 || cos < 0) {
		off := math.Atan2(sin*cos275-cos*sin275, toBlue) / (25 * degree)
		c7 = pow7(meanC)
		square -= 2 * math.Sqrt(c7/(c7+to7of25)) * math.Sin(60*degree*math.Exp(-off*off)) * dC * dH
	}
	return math.Sqrt(max(0, square)), true
}

const (
	to7of25        = 25 * 25 * 25 * 25 * 25 * 25 * 25
	nearGrey       = 1e-9
	nearlyOpposite = 1e-6 // of the square of the sum of two unit vectors: within 0.06° of opposite
)

var (
	cos30, sin30   = math.Cos(30 * degree), math.Sin(30 * degree)
	cos6, sin6     = math.Cos(6 * degree), math.Sin(6 * degree)
	cos63, sin63   = math.Cos(63 * degree), math.Sin(63 * degree)
	cos275, sin275 = math.Cos(275 * degree), math.Sin(275 * degree)
	cos130         = math.Cos(130 * degree)
)
