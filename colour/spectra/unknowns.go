package spectra

import (
	"math"

	"huewright/colour"
)

// DaylightWeights holds how much each band adds to X, Y and Z of daylight D65, as a spectrum of that
// band alone shows.
var DaylightWeights = func() (w [Bands][3]float64) {
	for i := range w {
		var alone Spectrum
		alone[i] = 1
		c := alone.XYZ(LightD65)
		w[i] = [3]float64{c.X, c.Y, c.Z}
	}
	return w
}()

// LabSlopes returns how L*, a* and b* of c change with X, Y and Z.
//
// Source: CIE 15:2018, 8.2.1, whose curve is the cube root above (6/29)³ and straight below.
func LabSlopes(c colour.XYZ) (m [3][3]float64) {
	slope := func(v, white float64) float64 {
		const corner = 6.0 / 29
		if t := v / white; t > corner*corner*corner {
			root := math.Cbrt(t)
			return 1 / (3 * root * root * white)
		}
		return 1 / (3 * corner * corner * white)
	}
	white := colour.WhiteD65
	x, y, z := slope(c.X, white.X), slope(c.Y, white.Y), slope(c.Z, white.Z)
	return [3][3]float64{
		{0, 116 * y, 0},
		{500 * x, -500 * y, 0},
		{0, 200 * y, -200 * z},
	}
}

// BandJacobian returns how L*, a* and b* of s change with the reflectance at each band.
func BandJacobian(s *Spectrum) (slopes [3][Bands]float64) {
	m := LabSlopes(s.XYZ(LightD65))
	for i := range s {
		w := &DaylightWeights[i]
		for c := range slopes {
			slopes[c][i] = m[c][0]*w[0] + m[c][1]*w[1] + m[c][2]*w[2]
		}
	}
	return slopes
}
