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
	return sum(j.byFit(a, la, b, lb), j.misfit(a, la, b, lb))
}

// PlusMinusBetween returns the radius, in ΔE00, that holds the difference between the readings la and lb of one surface in two photos
// 95 times in 100, as far as the corrections are to blame. Within one photo la and lb are two surfaces, and it holds their true difference.
//
// What the model leaves out belongs to a camera and a surface. Two photos by one camera share it, and it is no part of the difference;
// how far apart the readings lie is the error of the parameters, which is counted already. What a chart shows holds for its photo alone.
func (j *Joint) PlusMinusBetween(a int, la colour.Lab, b int, lb colour.Lab) float64 {
	if a == b {
		return j.corrections[a].PlusMinusBetween(la, lb)
	}
	cov := ofDifference(j.byFit(a, la, a, la), j.byFit(b, lb, b, lb), j.byFit(a, la, b, lb))
	one, other := j.corrections[a], j.corrections[b]
	if j.camera[a] != j.camera[b] || one.light != other.light || len(one.leftOut) > 0 || len(other.leftOut) > 0 {
		cov = sum(cov, sum(j.misfit(a, la, a, la), j.misfit(b, lb, b, lb)))
	}
	return colour.Radius95(la, cov)
}

// byFit is the part of Covariance that comes from the parameters.
func (j *Joint) byFit(a int, la colour.Lab, b int, lb colour.Lab) [3][3]float64 {
	block := mat.NewDense(nCamera, nCamera, nil)
	for i := range nCamera {
		for k := range nCamera {
			block.Set(i, k, j.covariance.At(a*nCamera+i, b*nCamera+k))
		}
	}
	return propagate(j.corrections[a].jacobian(la), block, j.corrections[b].jacobian(lb))
}

// misfit is the part of Covariance that the model leaves out; photos by two cameras share none.
func (j *Joint) misfit(a int, la colour.Lab, b int, lb colour.Lab) (cov [3][3]float64) {
	if j.camera[a] != j.camera[b] {
		return cov
	}
	return j.corrections[a].misfit(la, j.corrections[b], lb)
}

func sum(a, b [3][3]float64) [3][3]float64 {
	for i := range a {
		for k := range a {
			a[i][k] += b[i][k]
		}
	}
	return a
}
