package icc

import (
	"fmt"
	"math"

	"huewright/colour"
)

// Coding names colours by code points, as PNG and HEIC may do in place of a profile.
//
// Source: ITU-T H.273 (07/2021), 8.1–8.3: the numbers, primaries and curves below.
type Coding struct {
	Primaries, Curve int
	Matrix           int // of luma and colour difference; HEIC only
	Full             bool
}

const (
	Unspecified = 2
	curveLinear = 8
	curveSRGB   = 13
	curvePQ     = 16
	curveHLG    = 18
)

// Chromaticities x, y of red, green and blue. All have the white D65.
var (
	primariesOpRGB   = [3][2]float64{{0.64, 0.33}, {0.21, 0.71}, {0.15, 0.06}} // IEC 61966-2-5
	primariesByPoint = map[int][3][2]float64{
		5:  {{0.640, 0.330}, {0.290, 0.600}, {0.150, 0.060}}, // BT.601, 625 lines
		6:  {{0.630, 0.340}, {0.310, 0.595}, {0.155, 0.070}}, // BT.601, 525 lines
		9:  {{0.708, 0.292}, {0.170, 0.797}, {0.131, 0.046}}, // BT.2020
		12: {{0.680, 0.320}, {0.265, 0.690}, {0.150, 0.060}}, // Display P3
	}
	primariesName = map[int]string{5: "BT.601", 6: "BT.601", 9: "BT.2020", 12: "Display P3"}
)

// HighRange reports a curve that reaches far beyond paper white. What a picture coded so shows
// as white depends on the screen, so its colours cannot be measured.
func (c *Coding) HighRange() bool { return c.Curve == curvePQ || c.Curve == curveHLG }

// Profile gives the code points' meaning, with a warning where we had to choose one.
func (c *Coding) Profile() (p *profile, warning string) {
	p = &profile{Description: "sRGB", curves: [3]toneCurve{DecodeSRGB, DecodeSRGB, DecodeSRGB}}
	if chromaticities, known := primariesByPoint[c.Primaries]; known {
		m := fromPrimaries(chromaticities)
		p.toSRGB = &m
		p.Description = primariesName[c.Primaries]
	} else if c.Primaries != 1 && c.Primaries != Unspecified {
		warning = fmt.Sprintf("the file's primaries (code point %d) are not known here: taken as those of sRGB", c.Primaries)
	}
	switch c.Curve {
	case curveLinear:
		linear := func(v float64) float64 { return v }
		p.curves = [3]toneCurve{linear, linear, linear}
	case curveSRGB, Unspecified, 1, 6, 14, 15:
		// Note: 1, 6, 14 and 15 name the curve of a television camera. Phones write them for
		// pictures meant to be seen as sRGB, and every viewer shows them so.
	default:
		warning = fmt.Sprintf("the file's transfer curve (code point %d) is not known here: taken as that of sRGB", c.Curve)
	}
	return p, warning
}

// YCC is the rule for luma and colour difference, or nil when it is not one of the plain ones.
func (c *Coding) YCC() *YCCRule {
	switch c.Matrix {
	case Unspecified, 5, 6:
		return newYCCRule(0.299, 0.114, c.Full)
	case 1:
		return newYCCRule(0.2126, 0.0722, c.Full)
	case 9:
		return newYCCRule(0.2627, 0.0593, c.Full)
	}
	return nil
}

// fromPrimaries maps light in primaries of the given chromaticities, with white D65, to that
// in the primaries of sRGB.
func fromPrimaries(chromaticities [3][2]float64) colour.Matrix {
	var columns colour.Matrix
	for i, c := range chromaticities {
		x, y := c[0], c[1]
		columns[0][i], columns[1][i], columns[2][i] = x/y, 1, (1-x-y)/y
	}
	amounts := columns.Inverse().Apply(colour.WhiteD65)
	scale := colour.Matrix{{amounts.X}, {0, amounts.Y}, {0, 0, amounts.Z}}
	return xyzToSRGB().Mul(columns).Mul(scale)
}

// xyzToSRGB is the matrix of XYZ.LinearRGB.
func xyzToSRGB() colour.Matrix {
	x, y, z := colour.XYZ{X: 1}.LinearRGB(), colour.XYZ{Y: 1}.LinearRGB(), colour.XYZ{Z: 1}.LinearRGB()
	return colour.Matrix{{x.R, y.R, z.R}, {x.G, y.G, z.G}, {x.B, y.B, z.B}}
}

// OpRGBProfile is the optional, wider colour space of cameras.
//
// Source: IEC 61966-2-5; DCF 2.0.
func OpRGBProfile() *profile {
	power := func(v float64) float64 { return math.Pow(v, 563.0/256) }
	m := fromPrimaries(primariesOpRGB)
	return &profile{Description: "opRGB", curves: [3]toneCurve{power, power, power}, toSRGB: &m}
}
