package camera

import (
	"math"

	"huewright/colour"
)

// What cameras do to colours where nothing in the photo tells: learned from photos of the chart by many cameras, by expectation and
// maximisation over their repositories (TestLearnedFromCameras, which repeats it and holds these values to it; TestNoChart leaves out
// the repository that it tests). Covariances and variances are those of Student's t for as many repositories.
var (
	// learnedTones are the bends that undo what cameras do: they make midtones brighter, deepen shadows and press highlights together.
	learnedTones = tonePrior{
		mean: [nBend]float64{-0.176, 0.177, 0.334},
		cov: [nBend][nBend]float64{
			{0.0512, -0.0283, -0.0718},
			{-0.0283, 0.0930, -0.0523},
			{-0.0718, -0.0523, 0.3026},
		},
	}

	// learnedMisfit is what is left over.
	learnedMisfit = cameraMisfit{saturation: 0.172, size: 1.68, length: 24.5, rough: 1.23}
)

// A cameraMisfit says how far colours lie from what the model makes of them, beyond the uncertainty of its parameters, where no chart shows
// it: they are stronger or weaker altogether, and beside that off by something that is smooth in colour.
type cameraMisfit struct {
	saturation float64 // standard deviation of all colours' strength, as a share
	size       float64 // of the rest, in each of L*, a*, b* of a grey
	length     float64 // distance in Lab over which the rest stays alike
	rough      float64 // of what only like colours share, in each of L*, a*, b* of a grey
}

// roughLength is the distance in Lab over which rough misfits stay alike. Our own choice: patches of the chart lie 13 and more apart, so
// that all that is known of it is that it is less.
const roughLength = 5.0

// saturationSlope is the derivative of the parameters by a factor of saturation about grey of the same luminance: of B·(s + (1−s)·1·wᵀ),
// where w is how much each primary weighs in luminance.
//
// Note: saturation is no parameter of a fit to neutrals. Weaker colours make every neutral nearer to grey, so that it was fitted to what
// neutrals are off by.
var saturationSlope = func() (slope cameraParams) {
	luminance := identity[atMatrix+nTerms : atMatrix+nTerms+3]
	for row := atMatrix; row < nCamera; row += nTerms {
		white := identity[row] + identity[row+1] + identity[row+2]
		for k, share := range luminance {
			slope[row+k] = identity[row+k] - white*share
		}
	}
	return slope
}()

// covariance is that of the misfits of colours a and b in photos by one camera, given how saturation moves each.
func (m *cameraMisfit) covariance(a, b colour.Lab, saturationA, saturationB [3]float64) (cov [3][3]float64) {
	apart := colour.DeltaE76(a, b)
	alike := func(length float64) float64 { return math.Exp(-apart * apart / (2 * length * length)) }
	rest := (m.size*m.size*alike(m.length) + m.rough*m.rough*alike(roughLength)) * discount(a) * discount(b)
	for i := range cov {
		for k := range cov {
			cov[i][k] = m.saturation * m.saturation * saturationA[i] * saturationB[k]
		}
		cov[i][i] += rest
	}
	return cov
}

// saturationSlope is the derivative of L*, a*, b* by saturation where l is seen.
func (c *Correction) saturationSlope(l colour.Lab) (slope [3]float64) {
	j := c.jacobian(l)
	for i := range slope {
		for k, v := range saturationSlope {
			slope[i] += j.At(i, k) * v
		}
	}
	return slope
}
