package colour

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// DeviationsIn95 is how many standard deviations per axis reach 95 % of a normal distribution in
// three dimensions that is alike in all: the square root of the χ² quantile over its mean.
var DeviationsIn95 = math.Sqrt(7.814728 / 3)

// RMSDeltaE is the root mean square size, in ΔE00 about l, of errors of the given covariance in L*, a*, b*,
// of which the upper triangle counts: each principal axis is measured by itself.
func RMSDeltaE(l Lab, covariance [3][3]float64) float64 {
	sum := 0.0
	for _, v := range principalSquares(l, covariance) {
		sum += v
	}
	return math.Sqrt(sum)
}

// principalSquares are the squares of one standard deviation along each principal axis, in ΔE00 about l; infinite where the covariance is
// none.
func principalSquares(l Lab, covariance [3][3]float64) (squares [3]float64) {
	cov := mat.NewSymDense(3, nil)
	for i := range 3 {
		for k := i; k < 3; k++ {
			cov.SetSym(i, k, covariance[i][k])
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(cov, true) {
		return [3]float64{math.Inf(1)}
	}
	var axes mat.Dense
	eigen.VectorsTo(&axes)
	for i, v := range eigen.Values(nil) {
		sd := math.Sqrt(max(v, 0))
		d := DeltaE2000(l, Lab{l.L + sd*axes.At(0, i), l.A + sd*axes.At(1, i), l.B + sd*axes.At(2, i)})
		squares[i] = d * d
	}
	return squares
}

// Radius95 returns the radius, in ΔE00, that holds 95 of 100 errors about l whose covariance in
// L*, a*, b* is given, when they are normal. Where one axis holds most of the error that is 1.96 standard deviations of it,
// where all are alike [DeviationsIn95] times [RMSDeltaE].
//
// The squared error is taken to be χ² in as many degrees of freedom, whole or not, as give it its mean and variance.
// Source: Satterthwaite (1946), An approximate distribution of estimates of variance components, Biometrics Bulletin 2(6), 110–114.
func Radius95(l Lab, covariance [3][3]float64) float64 {
	mean, half := 0.0, 0.0 // of the squared error, and half its variance
	for _, v := range principalSquares(l, covariance) {
		mean += v
		half += v * v
	}
	if half == 0 || math.IsInf(half, 1) {
		return math.Sqrt(mean)
	}
	return math.Sqrt(half / mean * distuv.ChiSquared{K: mean * mean / half}.Quantile(0.95))
}
