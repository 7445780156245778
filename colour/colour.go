package colour

import (
	"fmt"
	"math"

	"github.com/lucasb-eyer/go-colorful"
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

// XYZ converts to tristimulus values by the matrix of IEC 61966-2-1 at full precision.
func (c LinearRGB) XYZ() XYZ {
	x, y, z := colorful.LinearRgbToXyz(c.R, c.G, c.B)
	return XYZ{x, y, z}
}

// Lab is short for c.XYZ().Lab().
func (c LinearRGB) Lab() Lab { return c.XYZ().Lab() }

// Luminance is Y by the rounded weights of IEC 61966-2-1.
func (c LinearRGB) Luminance() float64 { return 0.2126*c.R + 0.7152*c.G + 0.0722*c.B }

// Encode applies the transfer curve of sRGB, clips to what a screen can show, and rounds.
func (c LinearRGB) Encode() RGB8 {
	r, g, b := colorful.LinearRgb(c.R, c.G, c.B).Clamped().RGB255()
	return RGB8{r, g, b}
}

// Linear removes the transfer curve of sRGB.
func (c RGB8) Linear() LinearRGB {
	r, g, b := colorful.Color{R: float64(c.R) / 255, G: float64(c.G) / 255, B: float64(c.B) / 255}.LinearRgb()
	return LinearRGB{r, g, b}
}

// Hex writes c as "#rrggbb".
func (c RGB8) Hex() string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// ParseHex reads "#rrggbb" or "#rgb" as an encoded sRGB colour.
func ParseHex(s string) (RGB8, error) {
	c, err := colorful.Hex(s)
	if err != nil {
		return RGB8{}, fmt.Errorf("%q is not a colour like #8a5a3c", s)
	}
	r, g, b := c.RGB255()
	return RGB8{r, g, b}, nil
}

// LinearRGB converts to the primaries of sRGB. Colours outside the gamut are kept.
func (c XYZ) LinearRGB() LinearRGB {
	r, g, b := colorful.XyzToLinearRgb(c.X, c.Y, c.Z)
	return LinearRGB{r, g, b}
}

// Lab converts to CIELAB against D65.
func (c XYZ) Lab() Lab { return c.LabUnder(WhiteD65) }

// LabUnder converts to CIELAB against the given white. Negative values follow the straight
// part of the curve and are kept.
//
// Source: CIE 15:2018, 8.2.1.
func (c XYZ) LabUnder(white XYZ) Lab {
	x, y, z := LabRoot(c.X/white.X), LabRoot(c.Y/white.Y), LabRoot(c.Z/white.Z)
	return Lab{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// XYZ converts from CIELAB against D65.
func (c Lab) XYZ() XYZ { return c.XYZUnder(WhiteD65) }

// XYZUnder converts from CIELAB against the given white.
func (c Lab) XYZUnder(white XYZ) XYZ {
	x, y, z := colorful.LabToXyzWhiteRef(c.L/100, c.A/100, c.B/100, [3]float64{white.X, white.Y, white.Z})
	return XYZ{x, y, z}
}

// LinearRGB is short for c.XYZ().LinearRGB().
func (c Lab) LinearRGB() LinearRGB { return c.XYZ().LinearRGB() }

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

// Lab converts from cylindrical form.
func (c LCh) Lab() Lab {
	sin, cos := math.Sincos(c.H * math.Pi / 180)
	return Lab{c.L, c.C * cos, c.C * sin}
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

// tenths leaves what rounds to nothing without a sign: nobody asks what −0.0 is.
func tenths(v float64) float64 {
	if math.Abs(v) < 0.05 {
		return 0
	}
	return v
}
