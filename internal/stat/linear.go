package stat

import "math"

// Inverse3 returns the inverse of m and its determinant, by cofactors. Where the determinant is 0 the inverse is not
// finite.
func Inverse3(m *[3][3]float64) (inverse [3][3]float64, determinant float64) {
	determinant = m[0][0]*(m[1][1]*m[2][2]-m[1][2]*m[2][1]) -
		m[0][1]*(m[1][0]*m[2][2]-m[1][2]*m[2][0]) +
		m[0][2]*(m[1][0]*m[2][1]-m[1][1]*m[2][0])
	cofactor := func(a, b, c, d int) float64 { return (m[a][c]*m[b][d] - m[a][d]*m[b][c]) / determinant }
	return [3][3]float64{
		{cofactor(1, 2, 1, 2), cofactor(2, 0, 1, 2), cofactor(0, 1, 1, 2)},
		{cofactor(1, 2, 2, 0), cofactor(2, 0, 2, 0), cofactor(0, 1, 2, 0)},
		{cofactor(1, 2, 0, 1), cofactor(2, 0, 0, 1), cofactor(0, 1, 0, 1)},
	}, determinant
}

// Solve4 solves four equations, of which m has a row each, for every right-hand side, by elimination
// with row exchange. Each of right becomes its solution, and m is overwritten. Singular equations
// give NaN or ±Inf.
func Solve4(m *[4][4]float64, right [][4]float64) {
	for c := range 4 {
		largest := c
		for r := c + 1; r < 4; r++ {
			if math.Abs(m[r][c]) > math.Abs(m[largest][c]) {
				largest = r
			}
		}
		m[c], m[largest] = m[largest], m[c]
		for k := range right {
			right[k][c], right[k][largest] = right[k][largest], right[k][c]
		}
		for r := c + 1; r < 4; r++ {
			f := m[r][c] / m[c][c]
			for k := c; k < 4; k++ {
				m[r][k] -= f * m[c][k]
			}
			for k := range right {
				right[k][r] -= f * right[k][c]
			}
		}
	}
	for k := range right {
		x := &right[k]
		for c := 3; c >= 0; c-- {
			for i := c + 1; i < 4; i++ {
				x[c] -= m[c][i] * x[i]
			}
			x[c] /= m[c][c]
		}
	}
}
