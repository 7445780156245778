package blend

import "math"

// OverSlopes returns [Film.Over] and its derivatives by log K and log S.
func (f Film) OverSlopes(ground, coats float64) (r, byLogK, byLogS float64) {
	square := f.K * (f.K + 2*f.S)
	tau, bySquare := f.effective(coats), 0.0
	if x := square * coats * coats; x < 1e-5 {
		bySquare = -coats * coats * coats / 3 * (1 - 4*x/5)
	} else {
		th := tau * math.Sqrt(square)
		bySquare = (coats*(1-th*th) - tau) / (2 * square) // derivative of tanh(αn)/α by α²
	}
	tauByK, tauByS := bySquare*2*(f.K+f.S), bySquare*2*f.K
	gain, loss := f.S-(f.K+f.S)*ground, f.K+f.S*(1-ground)
	down := 1 + tau*loss
	r = (ground + tau*gain) / down
	byLogK = f.K * (tauByK*gain - tau*ground - r*(tauByK*loss+tau)) / down
	byLogS = f.S * (tauByS*gain + tau*(1-ground) - r*(tauByS*loss+tau*(1-ground))) / down
	return r, byLogK, byLogS
}

// LimitSlopes returns [Film.Limit] and its derivative by log K; that by log S is the opposite.
func (f Film) LimitSlopes() (r, byLogK float64) {
	r = f.Limit()
	return r, -r * math.Sqrt(f.K/(f.K+2*f.S))
}

// GroundSlope returns the derivative of [Film.Over] by the ground.
func (f Film) GroundSlope(ground, coats float64) float64 {
	tau := f.effective(coats)
	up := ground + tau*(f.S-(f.K+f.S)*ground)
	down := 1 + tau*(f.K+f.S*(1-ground))
	return ((1-tau*(f.K+f.S))*down + tau*f.S*up) / (down * down)
}
