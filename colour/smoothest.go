package colour

import "math"

// newtonStep is one step of Newton's method towards the smoothest spectrum of colour c.
//
// To make ½ Σ (zᵢ₊₁ − zᵢ)² least while Σ aᵢ ρ(zᵢ) = c, with aᵢ the light's weights at a band and
// ρ(z) = (1 + tanh z)/2, multipliers λ must exist with
//
//	(D z)ᵢ + ρ′(zᵢ) aᵢ·λ = 0    36 equations; D has rows (… −1 2 −1 …), 1 for 2 in the corners
//	c − Σ aᵢ ρ(zᵢ) = 0           3 equations
//
// Made linear about s these say, for the change of z and the multipliers after it,
//
//	( H  Jᵀ ) ( step )   ( −D z         )     H = D + diag(ρ″(zᵢ) aᵢ·λ)
//	( J  0  ) (  λ   ) = ( c − Σ aᵢ ρᵢ )     J = (ρ′(zᵢ) aᵢ)
//
// H is tridiagonal, so a few operations a band eliminate every band but the last. That one is
// left with λ in four equations, since H is singular where λ = 0, as it is at the start, but
// H without its last row and column is not.
func (s *solution) newtonStep(c XYZ) (step [Bands]float64, lambda [3]float64) {
	const last = Bands - 1
	var (
		diagonal [Bands]float64    // of H; beside it all is −1
		border   [Bands][4]float64 // how a band's equation involves the last band and λ
		right    [Bands]float64
		four     [4][5]float64 // equations of the last band and of X, Y, Z, in those unknowns
	)
	four[1][4], four[2][4], four[3][4] = c.X, c.Y, c.Z
	for i, a := range LightD65.weights {
		t := math.Tanh(s.z[i])
		rho, slope := (1+t)/2, (1-t)*(1+t)/2
		pull := a[0]*s.lambda[0] + a[1]*s.lambda[1] + a[2]*s.lambda[2]
		diagonal[i] = 2 - 2*t*slope*pull // ρ″ = −2 tanh z ρ′
		for k := range 3 {
			border[i][1+k] = slope * a[k]
			four[1+k][4] -= rho * a[k]
		}
	}
	diagonal[0]--
	diagonal[last]--
	for i := range last {
		rise := s.z[i+1] - s.z[i]
		right[i] += rise
		right[i+1] -= rise
	}
	border[last-1][0] = -1

	four[0] = [5]float64{diagonal[last], border[last][1], border[last][2], border[last][3], right[last]}
	for k := 1; k < 4; k++ {
		four[k][0] = border[last][k]
	}

	// Tridiagonal elimination: downwards, each band's equation is rid of the band before it and
	// leaves its share in the four; H⁻¹ of border and right is never needed as a whole.
	for i := range last {
		b, pivot := &border[i], diagonal[i]
		for k := range 4 {
			f := b[k] / pivot
			for j := range 4 {
				four[k][j] -= f * b[j]
			}
			four[k][4] -= f * right[i]
		}
		if i+1 < last {
			diagonal[i+1] -= 1 / pivot
			right[i+1] += right[i] / pivot
			for k := range 4 {
				border[i+1][k] += b[k] / pivot
			}
		}
	}

	x := solveFour(&four)
	step[last] = x[0]
	for i := last - 1; i >= 0; i-- {
		b := &border[i]
		v := right[i] - b[0]*x[0] - b[1]*x[1] - b[2]*x[2] - b[3]*x[3]
		if i+1 < last {
			v += step[i+1]
		}
		step[i] = v / diagonal[i]
	}
	return step, [3]float64{x[1], x[2], x[3]}
}

// solveFour solves four equations, each a row of coefficients and its right-hand side, by
// elimination with row exchange. The equations are overwritten. Singular ones give NaN or ±Inf.
func solveFour(m *[4][5]float64) (x [4]float64) {
	for c := range 4 {
		largest := c
		for r := c + 1; r < 4; r++ {
			if math.Abs(m[r][c]) > math.Abs(m[largest][c]) {
				largest = r
			}
		}
		m[c], m[largest] = m[largest], m[c]
		for r := c + 1; r < 4; r++ {
			f := m[r][c] / m[c][c]
			for k := c; k < 5; k++ {
				m[r][k] -= f * m[c][k]
			}
		}
	}
	for c := 3; c >= 0; c-- {
		x[c] = m[c][4]
		for k := c + 1; k < 4; k++ {
			x[c] -= m[c][k] * x[k]
		}
		x[c] /= m[c][c]
	}
	return x
}
