package colour

import "huewright/internal/stat"

// Whites by their chromaticity for the 2° observer: D65 (.3127, .3290), as IEC 61966-2-1
// uses it; D50 as ICC.1:2022 fixes its connection space; A from CIE 15:2018.
var (
	WhiteD65 = WhiteOf(0.3127, 0.3290)
	WhiteD50 = XYZ{0.96422, 1, 0.82521}
	WhiteA   = XYZ{1.09850, 1, 0.35585}
)

// WhiteOf is the white of chromaticity x, y, with Y = 1.
func WhiteOf(x, y float64) XYZ { return XYZ{x / y, 1, (1 - x - y) / y} }

// Matrix is a linear map between tristimulus values, row by row.
type Matrix [3][3]float64

// Apply multiplies m by the column c.
func (m Matrix) Apply(c XYZ) XYZ {
	return XYZ{
		m[0][0]*c.X + m[0][1]*c.Y + m[0][2]*c.Z,
		m[1][0]*c.X + m[1][1]*c.Y + m[1][2]*c.Z,
		m[2][0]*c.X + m[2][1]*c.Y + m[2][2]*c.Z,
	}
}

// Mul returns the map that applies n first and m second.
func (m Matrix) Mul(n Matrix) Matrix {
	var p Matrix
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				p[i][j] += m[i][k] * n[k][j]
			}
		}
	}
	return p
}

// Inverse returns the inverse of m. It panics if m has none, which is a mistake in the program: every matrix here
// describes three independent primaries. A matrix from a file or a fit is checked with Determinant first.
func (m Matrix) Inverse() Matrix {
	inverse, det := stat.Inverse3((*[3][3]float64)(&m))
	if det == 0 {
		panic("colour: matrix has no inverse")
	}
	return inverse
}

// Determinant returns the determinant of m.
func (m Matrix) Determinant() float64 {
	_, det := stat.Inverse3((*[3][3]float64)(&m))
	return det
}

// bradford holds the cone response matrix of Lam (1985), as ICC.1:2022 annex E prints it.
var bradford = Matrix{
	{0.8951, 0.2664, -0.1614},
	{-0.7502, 1.7135, 0.0367},
	{0.0389, -0.0685, 1.0296},
}

// Adaptation returns the Bradford map that takes a colour seen under the white from to the
// corresponding colour under the white to.
//
// Source: Lam (1985), thesis, University of Bradford; ICC.1:2022 annex E.
func Adaptation(from, to XYZ) Matrix {
	f, t := bradford.Apply(from), bradford.Apply(to)
	scale := Matrix{{t.X / f.X}, {0, t.Y / f.Y}, {0, 0, t.Z / f.Z}}
	return bradford.Inverse().Mul(scale).Mul(bradford)
}
