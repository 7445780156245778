package spectra

import (
	"math"

	"huewright/colour"
	"huewright/internal/stat"
)

// A solution is z at each band and the multipliers that hold it to its colour.
type solution struct {
	z      [Bands]float64
	lambda [3]float64
}

// grey is the flat solution.
func grey(reflectance float64) solution {
	var s solution
	for i := range s.z {
		s.z[i] = math.Atanh(2*reflectance - 1)
	}
	return s
}

// reflectance is (1 + tanh z)/2 without its loss of digits near 0.
func reflectance(z float64) float64 { return 1 / (1 + math.Exp(-2*z)) }

const mostIterations = 20

// newton goes from s to the solution for c. It is not ok when it does not converge.
func (s solution) newton(c colour.XYZ) (solution, bool) {
	const converged, diverged = 1e-6, 20 // changes of z; convergence is quadratic, so 1e-6 leaves about 1e-12
	for range mostIterations {
		step, lambda := s.newtonStep(c)
		s.lambda = lambda
		largest := 0.0
		for i, dz := range step {
			s.z[i] += dz
			largest = math.Max(largest, math.Abs(dz)) // NaN stays NaN
		}
		if largest < converged {
			return s, true
		}
		if !(largest < diverged) {
			break
		}
	}
	return s, false
}

// newtonStep is one step of Newton's method towards the smoothest spectrum of colour c.
//
// To minimise ½ Σ (zᵢ₊₁ − zᵢ)² while Σ aᵢ ρ(zᵢ) = c, with aᵢ the light's weights at a band and
// ρ(z) = (1 + tanh z)/2, multipliers λ must exist with
//
//	(D z)ᵢ + ρ′(zᵢ) aᵢ·λ = 0    36 equations; D has rows (… −1 2 −1 …), 1 for 2 in the corners
//	c − Σ aᵢ ρ(zᵢ) = 0           3 equations
//
// Linearised about s these give, for the change of z and the multipliers after it,
//
//	( H  Jᵀ ) ( step )   ( −D z         )     H = D + diag(ρ″(zᵢ) aᵢ·λ)
//	( J  0  ) (  λ   ) = ( c − Σ aᵢ ρᵢ )     J = (ρ′(zᵢ) aᵢ)
//
// H is tridiagonal, so a few operations a band eliminate every band but the last, which stays with λ in four
// equations: at the start, where λ = 0, H is singular, but H without its last row and column is not.
//
// Note: one elimination from setting up to back substitution, hence longer than 60 lines; cut in two, most of its
// variables would be passed on.
func (s *solution) newtonStep(c colour.XYZ) (step [Bands]float64, lambda [3]float64) {
	const last = Bands - 1
	var (
		diagonal [Bands]float64    // of H; beside it all is −1
		border   [Bands][4]float64 // how a band's equation involves the last band and λ
		right    [Bands]float64
		four     [4][4]float64 // equations of the last band and of X, Y, Z, in those unknowns
	)
	x := [1][4]float64{{0, c.X, c.Y, c.Z}} // their right-hand side, in the end their solution
	for i, a := range LightD65.weights {
		t := math.Tanh(s.z[i])
		rho, slope := (1+t)/2, (1-t)*(1+t)/2
		pull := a[0]*s.lambda[0] + a[1]*s.lambda[1] + a[2]*s.lambda[2]
		diagonal[i] = 2 - 2*t*slope*pull // ρ″ = −2 tanh z ρ′
		for k := range 3 {
			border[i][1+k] = slope * a[k]
			x[0][1+k] -= rho * a[k]
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

	four[0], x[0][0] = [4]float64{diagonal[last], border[last][1], border[last][2], border[last][3]}, right[last]
	for k := 1; k < 4; k++ {
		four[k][0] = border[last][k]
	}

	// Tridiagonal elimination: downwards, the band before is eliminated from each band's equation, which
	// leaves its share in the four; H⁻¹ of border and right is never needed as a whole.
	for i := range last {
		b, pivot := &border[i], diagonal[i]
		for k := range 4 {
			f := b[k] / pivot
			for j := range 4 {
				four[k][j] -= f * b[j]
			}
			x[0][k] -= f * right[i]
		}
		if i+1 < last {
			diagonal[i+1] -= 1 / pivot
			right[i+1] += right[i] / pivot
			for k := range 4 {
				border[i+1][k] += b[k] / pivot
			}
		}
	}

	stat.Solve4(&four, x[:])
	u := &x[0]
	step[last] = u[0]
	for i := last - 1; i >= 0; i-- {
		b := &border[i]
		v := right[i] - b[0]*u[0] - b[1]*u[1] - b[2]*u[2] - b[3]*u[3]
		if i+1 < last {
			v += step[i+1]
		}
		step[i] = v / diagonal[i]
	}
	return step, [3]float64{u[1], u[2], u[3]}
}
