package icc

import "math"

// Coding names colours by code points, as PNG and HEIC may do in place of a profile.
//
// Source: ITU-T H.273 (07/2021), 8.1–8.3: the numbers, primaries and curves below.
type Coding struct {
	Primaries, Curve int
	Matrix           int // of luma and colour difference; HEIC only
	Full             bool
}

// Code points. Unspecified is the same for primaries, curve and matrix.
const (
	Unspecified = 2
	curveLinear = 8
	curveSRGB   = 13
	curvePQ     = 16
	curveHLG    = 18
)

// HighRange reports a curve that reaches far beyond paper white. What a picture coded so shows
// as white depends on the screen, so its colours cannot be measured.
func (c *Coding) HighRange() bool { return c.Curve == curvePQ || c.Curve == curveHLG }

// Profile is the profile that the code points mean. Where one of them is not known here, that of sRGB stands in for it and known is
// false.
func (c *Coding) Profile() (p *Profile, known bool) {
	known = true
	p = &Profile{Description: "sRGB", curves: [3]toneCurve{DecodeSRGB, DecodeSRGB, DecodeSRGB}}
	if chromaticities, is := primariesByPoint[c.Primaries]; is {
		m := fromPrimaries(chromaticities)
		p.toSRGB = &m
		p.Description = primariesName[c.Primaries]
	} else if c.Primaries != 1 && c.Primaries != Unspecified {
		known = false
	}
	switch c.Curve {
	case curveLinear:
		linear := func(v float64) float64 { return v }
		p.curves = [3]toneCurve{linear, linear, linear}
	case curveSRGB, Unspecified, 1, 6, 14, 15:
		// Note: 1, 6, 14 and 15 name the curve of a television camera. Phones write them for
		// pictures meant to be seen as sRGB, and every viewer shows them so.
	default:
		known = false
	}
	return p, known
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

// OpRGBProfile is the optional, wider colour space of cameras.
//
// Source: IEC 61966-2-5; DCF 2.0.
func OpRGBProfile() *Profile {
	power := func(v float64) float64 { return math.Pow(v, 563.0/256) }
	m := fromPrimaries(primariesOpRGB)
	return &Profile{Description: "opRGB", curves: [3]toneCurve{power, power, power}, toSRGB: &m}
}
