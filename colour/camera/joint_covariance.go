package camera

import (
	"gonum.org/v1/gonum/mat"

	"huewright/colour"
)

// Covariance is that of the errors, in L*, a*, b*, that two photos' corrections make in
// readings of colour la in photo a and lb in photo b. Both may be one photo.
func (j *Joint) Covariance(a int, la colour.Lab, b int, lb colour.Lab) [3][3]float64 {
	if a == b {
		return j.corrections[a].Covariance(la, lb)
	}
	block := mat.NewDense(nCamera, nCamera, nil)
	for i := range nCamera {
		for k := range nCamera {
			block.Set(i, k, j.covariance.At(a*nCamera+i, b*nCamera+k))
		}
	}
	one, other := j.corrections[a], j.corrections[b]
	cov := propagate(one.jacobian(la), block, other.jacobian(lb))
	if j.camera[a] != j.camera[b] {
		return cov
	}
	misfit := one.misfit(la, other, lb)
	for i := range cov {
		for k := range cov {
			cov[i][k] += misfit[i][k]
		}
	}
	return cov
}

// PlusMinusBetween returns the radius, in ΔE00, that holds the true difference of two colours
// read in two photos, or in one, 95 times in 100, as far as the corrections are to blame.
func (j *Joint) PlusMinusBetween(a int, la colour.Lab, b int, lb colour.Lab) float64 {
	if a == b {
		return j.corrections[a].PlusMinusBetween(la, lb)
	}
	return colour.Radius95(la, ofDifference(j.Covariance(a, la, a, la), j.Covariance(b, lb, b, lb), j.Covariance(a, la, b, lb)))
}
