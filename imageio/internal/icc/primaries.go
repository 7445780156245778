package icc

import (
	"sync"

	"huewright/colour"
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

// fromD50 maps XYZ under D50, which profiles speak in, to light in the primaries of sRGB.
var fromD50 = sync.OnceValue(func() colour.Matrix {
	return xyzToSRGB().Mul(colour.Adaptation(colour.WhiteD50, colour.WhiteD65))
})
