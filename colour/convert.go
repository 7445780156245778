package colour

import (
	"github.com/lucasb-eyer/go-colorful"

	"huewright/internal/fault"
)

// XYZ converts to tristimulus values by the matrix of IEC 61966-2-1 at full precision.
func (c LinearRGB) XYZ() XYZ {
	x, y, z := colorful.LinearRgbToXyz(c.R, c.G, c.B)
	return XYZ{x, y, z}
}

// Lab is short for c.XYZ().Lab().
func (c LinearRGB) Lab() Lab { return c.XYZ().Lab() }

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

// ParseHex reads "#rrggbb" or "#rgb" as an encoded sRGB colour.
func ParseHex(s string) (RGB8, error) {
	c, err := colorful.Hex(s)
	if err != nil {
		return RGB8{}, fault.New(fault.Use, "colour.hex", "text", s)
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
	return labOf(labCurve(c.X/white.X), labCurve(c.Y/white.Y), labCurve(c.Z/white.Z))
}

// labOf is CIELAB from the curve's values for X, Y and Z.
func labOf(fx, fy, fz float64) Lab { return Lab{116*fy - 16, 500 * (fx - fy), 200 * (fy - fz)} }

// LabJacobian returns Lab of c against D65 and its derivatives by X, Y and Z, one row for each of L*, a*, b*.
func (c XYZ) LabJacobian() (Lab, [3][3]float64) {
	slope := func(t, f float64) float64 {
		if t > labEdge*labEdge*labEdge {
			return 1 / (3 * f * f)
		}
		return 1 / (3 * labEdge * labEdge)
	}
	x, y, z := c.X/WhiteD65.X, c.Y/WhiteD65.Y, c.Z/WhiteD65.Z
	fx, fy, fz := labCurve(x), labCurve(y), labCurve(z)
	dx, dy, dz := slope(x, fx)/WhiteD65.X, slope(y, fy)/WhiteD65.Y, slope(z, fz)/WhiteD65.Z
	return labOf(fx, fy, fz), [3][3]float64{
		{0, 116 * dy, 0},
		{500 * dx, -500 * dy, 0},
		{0, 200 * dy, -200 * dz},
	}
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

// Hex is c as screens have it, "#rrggbb".
func (c Lab) Hex() string { return c.LinearRGB().Encode().Hex() }
