package colour

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// DeviationsIn95 is how many standard deviations per axis reach 95 % of a normal distribution in
// three dimensions that is alike in all: the square root of the χ² quantile over its mean.
var DeviationsIn95 = math.Sqrt(7.814728 / 3)

// RMSDeltaE is the root mean square size, in ΔE00 about l, of errors of the given covariance in L*, a*, b*,
// of which the upper triangle counts: each principal axis is measured by itself.
func RMSDeltaE(l Lab, covariance [3][3]float64) float64 {
	cov := mat.NewSymDense(3, nil)
	for i := range 3 {
		for k := i; k < 3; k++ {
			cov.SetSym(i, k, covariance[i][k])
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(cov, true) {
		return math.Inf(1)
	}
	var axes mat.Dense
	eigen.VectorsTo(&axes)
	sum := 0.0
	for i, v := range eigen.Values(nil) {
		sd := math.Sqrt(max(v, 0))
		d := DeltaE2000(l, Lab{l.L + sd*axes.At(0, i), l.A + sd*axes.At(1, i), l.B + sd*axes.At(2, i)})
		sum += d * d
	}
	return math.Sqrt(sum)
}

// Radius95 returns the radius, in ΔE00, that holds 95 of 100 errors about l whose covariance in
// L*, a*, b* is given, when they are normal.
func Radius95(l Lab, covariance [3][3]float64) float64 {
	return DeviationsIn95 * RMSDeltaE(l, covariance)
}
