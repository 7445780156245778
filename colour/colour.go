package colour

import (
	"fmt"
	"math"
)

// Lab is a colour in CIE 1976 L*a*b* under the package conventions.
// The zero value is black.
type Lab struct{ L, A, B float64 }

// LCh is Lab in cylindrical form: lightness, chroma C*ab, and hue angle in degrees, [0, 360).
// The hue of a colour without chroma is 0.
type LCh struct{ L, C, H float64 }

// XYZ is a colour in CIE 1931 tristimulus values, scaled so that the white has Y = 1.
type XYZ struct{ X, Y, Z float64 }

// LinearRGB is light in the primaries of sRGB without its transfer curve. Colours outside
// the gamut have components below 0 or above 1 and are kept.
type LinearRGB struct{ R, G, B float64 }

// RGB8 is an encoded sRGB colour as screens and hex codes have it.
type RGB8 struct{ R, G, B uint8 }

// Luminance is Y by the rounded weights of IEC 61966-2-1.
func (c LinearRGB) Luminance() float64 { return 0.2126*c.R + 0.7152*c.G + 0.0722*c.B }

// Hex writes c as "#rrggbb".
func (c RGB8) Hex() string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// LCh converts to cylindrical form.
func (c Lab) LCh() LCh {
	h := math.Atan2(c.B, c.A) * 180 / math.Pi
	if h < 0 {
		h += 360
	}
	if h >= 360 { // −1e-17° + 360 rounds to 360
		h = 0
	}
	return LCh{c.L, math.Hypot(c.A, c.B), h}
}

// IsFinite reports whether no component is NaN or infinite.
func (c Lab) IsFinite() bool {
	sum := c.L + c.A + c.B
	return !math.IsNaN(sum) && !math.IsInf(sum, 0)
}

// String writes c as people at a bench do: "L* 44.1  a* 14.2  b* 19.8".
func (c Lab) String() string {
	return fmt.Sprintf("L* %.1f  a* %.1f  b* %.1f", tenths(c.L), tenths(c.A), tenths(c.B))
}

// tenths replaces what rounds to zero by 0, so that it is not printed as −0.0.
func tenths(v float64) float64 {
	if math.Abs(v) < 0.05 {
		return 0
	}
	return v
}
