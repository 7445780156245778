package camera

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"huewright/colour/sensor"
)

// White is balanced before the maker's matrix M mixes the channels of a sensor into those of the picture. Where one photo's white is
// balanced otherwise than another's, by factors w of the sensor's channels, the same light is recorded as M·diag(w)·M⁻¹ of what it is:
// not only its gains are others, its channels are mixed anew. Greys show M·w and thereby the gains g; what they do not show follows from
// them,
//
//	I + X = M·diag(1/w)·M⁻¹·diag(exp −g),   w = M⁻¹·exp(−g) .
//
// Without it what greys left wrong between photos grew with how far apart their white was balanced (correlation 0.78 on 40 drawn cabinets),
// and the radius did not.

// usualMixing is M, as least squares over a chart with white kept white give it: the mean of two thirds of the measured sensors in daylight
// of 5000 and 6500 K (TestMixingOfMeasuredSensors of internal/bench).
var usualMixing = mat.NewDense(3, 3, []float64{1.915, -0.915, 0, -0.194, 1.662, -0.468, 0.075, -0.674, 1.599})

// mixingShare is how far X of a camera is from that by usualMixing, as a share of its entries (root mean square). Measured sensors are off
// by 0.15; that software makes colours stronger and weaker is the rest, our own choice.
const mixingShare = 0.25

// A mixing is what a photo's balance of white does to its matrix beside that of its camera, terms r, g and b, by row.
type mixing struct {
	expected [3][3]float64
	sd       float64 // of each entry, beside the prior's own
}

// mixingBy is that of gains beside the mean of the camera's photos. Every gain has its balance, as no entry of M⁻¹ is negative.
func mixingBy(gains [3]float64) (m mixing) {
	var back, x, terms mat.Dense
	if back.Inverse(usualMixing) != nil {
		panic("camera: channels are not mixed")
	}
	light := mat.NewVecDense(3, nil)
	for k, g := range gains {
		light.SetVec(k, math.Exp(-g))
	}
	var balance mat.VecDense
	balance.MulVec(&back, light)
	by, own := mat.NewDiagDense(3, nil), mat.NewDiagDense(3, nil)
	for k := range 3 {
		by.SetDiag(k, 1/balance.AtVec(k))
		own.SetDiag(k, light.AtVec(k))
	}
	x.Product(usualMixing, by, &back, own)
	for k := range 3 {
		x.Set(k, k, x.At(k, k)-1)
	}
	primaries := mat.NewDense(3, 3, nil)
	for i := range 3 {
		primaries.SetRow(i, identity[atMatrix+i*nTerms:][:3])
	}
	terms.Mul(primaries, &x)
	squares := 0.0
	for i := range 3 {
		for k := range 3 {
			m.expected[i][k] = terms.At(i, k)
			squares += terms.At(i, k) * terms.At(i, k)
		}
	}
	m.sd = mixingShare * math.Sqrt(squares/9)
	return m
}

// expectMixing sets what is expected of the matrix of each photo, from the gains of all as a first fit has them. Raw photos are mixed by
// their file's matrices after they were balanced.
func (f *jointProblem) expectMixing(params []float64, photos []PhotoView) {
	mean, n := make([][3]float64, len(f.cameras)), make([]float64, len(f.cameras))
	for i := range f.photos {
		n[f.photos[i].camera]++
		for k := range 3 {
			mean[f.photos[i].camera][k] += params[i*nCamera+atGain+k]
		}
	}
	for i := range f.photos {
		p := &f.photos[i]
		if photos[i].Light != sensor.Rendered {
			continue
		}
		var gains [3]float64
		for k := range gains {
			gains[k] = params[i*nCamera+atGain+k] - mean[p.camera][k]/n[p.camera]
		}
		p.mixing = mixingBy(gains)
	}
}
