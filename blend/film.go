package blend

import (
	"fmt"
	"math"
)

// A Film is one coat at one wavelength: what it absorbs (K) and what it scatters back (S), both
// pure numbers of 0 or more, the coefficients of Kubelka and Munk times the coat's thickness.
// A dye has S = 0, a pure white K = 0, and the zero value cannot be seen.
type Film struct{ K, S float64 }

// Over returns the reflectance of coats layers of f over a ground of reflectance ground.
// Coats may be fractional. The result is again in [0, 1], so films may be laid one over another.
// It panics if ground is outside [0, 1], if coats is negative or infinite, or if f has a K or S
// that is: the caller clips a measured ground, and attaches a warning, first.
//
// Source: Kubelka (1948), J. Opt. Soc. Am. 38(5), 448–457, doi:10.1364/JOSA.38.000448.
// Multiplying the textbook form through by S and b, and writing τ = tanh(αn)/α with
// α = √(K(K+2S)), needs no special case for a dye (S = 0) or a pure white (K = 0).
func (f Film) Over(ground, coats float64) float64 {
	laid := f.laid(coats)
	return laid.over(ground)
}

// A laidFilm is coats of a film, of which all is worked out that does not depend on the ground.
type laidFilm struct {
	Film
	one, tau float64 // 1 and τ, or both over τ
}

func (f Film) laid(coats float64) laidFilm {
	f.check()
	if !(coats >= 0) || math.IsInf(coats, 1) {
		panic(fmt.Sprintf("blend: %v coats", coats))
	}
	tau := f.effective(coats)
	if tau > 1 {
		return laidFilm{f, 1 / tau, 1} // the same quotient, which no thickness can make overflow
	}
	return laidFilm{f, 1, tau}
}

// over is Film.Over.
func (f *laidFilm) over(ground float64) float64 {
	if !(ground >= 0 && ground <= 1) {
		panic(fmt.Sprintf("blend: a film over a ground of reflectance %v", ground))
	}
	numerator := f.one*ground + f.tau*(f.S-(f.K+f.S)*ground)
	denominator := f.one + f.tau*(f.K+f.S*(1-ground))
	return clip(numerator / denominator) // the quotient is within 0–1, but for its last digit
}

// clip returns v, cut off below 0 and above 1. It compares: as WebAssembly min and max of floats are calls, a tenth of a plan.
func clip(v float64) float64 {
	switch {
	case v <= 0:
		return 0
	case v >= 1:
		return 1
	}
	return v
}

// Limit returns the reflectance of the opaque film, whose ground no longer shows. It is NaN for an invisible film.
//
// Source: Kubelka and Munk (1931), R∞ = 1 + K/S − √((K/S)² + 2K/S), multiplied out so that it
// neither divides by S = 0 nor subtracts two large numbers.
func (f Film) Limit() float64 {
	f.check()
	return f.S / (f.K + f.S + f.alpha())
}

// Times returns the film of n coats, or of one coat n times as strong.
func (f Film) Times(n float64) Film { return Film{f.K * n, f.S * n} }

// effective returns τ = tanh(αn)/α, the thickness of n coats as far as light gets into them:
// n for a film that hardly absorbs, never more than 1/α.
func (f Film) effective(n float64) float64 {
	alpha := f.alpha()
	depth := alpha * n
	if x := depth * depth; x < 1e-5 {
		return n * (1 - x/3*(1-2*x/5)) // the series of tanh; what is left out is below 1e-16
	}
	return math.Tanh(depth) / alpha
}

// alpha returns α = √(K(K+2S)), as two roots: the product under one root can overflow and vanish.
func (f Film) alpha() float64 { return math.Sqrt(f.K) * math.Sqrt(f.K+2*f.S) }

func (f Film) check() {
	if !(f.K >= 0 && f.S >= 0) || math.IsInf(f.K+2*f.S, 1) {
		panic(fmt.Sprintf("blend: a film cannot absorb %v and scatter %v", f.K, f.S))
	}
}
