package camera

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"huewright/colour"
	"huewright/colour/sensor"
)

// A Correction takes what one photo recorded to what was there. Any number of goroutines may
// use it at once.
type Correction struct {
	light     sensor.Light // that a raw photo was taken in
	params    cameraParams
	residuals residualField
	table     *cubeTable // of the two above; nil when they are cheap enough as they are

	known     int            // number of samples and tie points it was fitted to
	samples   []Sample       // of them, the samples
	leftOut   []leftOutError // of each sample under the fit to all others; for a chart only
	posterior *mat.SymDense  // covariance of params
	pins      *pins          // of its camera's misfit; nil where nothing tells of it
}

// leftOutError is one sample's error when it was predicted from the others.
type leftOutError struct {
	at     colour.Lab
	deltaE float64
}

// Apply returns the light that was there when the camera recorded c. Without any known
// sample it is c.XYZ().
func (c *Correction) Apply(camera colour.LinearRGB) colour.XYZ {
	switch {
	case c.known == 0:
		return camera.XYZ()
	case c.table != nil:
		if xyz, ok := c.table.lookup(camera); ok {
			return xyz
		}
	}
	return c.exact(camera)
}

// Samples are the known surfaces it was fitted to, those left out not among them.
func (c *Correction) Samples() []Sample { return c.samples }

// Lab is short for c.Apply(camera).Lab().
func (c *Correction) Lab(camera colour.LinearRGB) colour.Lab { return c.Apply(camera).Lab() }

// exact is Apply without the table.
func (c *Correction) exact(camera colour.LinearRGB) colour.XYZ {
	xyz := c.params.xyz(camera, Position{})
	if len(c.residuals.at) == 0 {
		return xyz
	}
	return c.residuals.correct(xyz.Lab()).XYZ()
}

// onChart is a sample corrected, in the light of its own place on the chart.
func (c *Correction) onChart(s *Sample) colour.Lab {
	return c.residuals.correct(c.params.xyz(s.Camera, s.At).Lab())
}

// errorAt is the error of a sample that took no part in the fit.
func (c *Correction) errorAt(s *Sample) leftOutError {
	return leftOutError{s.Want, colour.DeltaE2000(s.Want, c.onChart(s))}
}

// PlusMinus returns the radius, in ΔE00, that holds the true colour 95 times in 100, as far
// as the correction is to blame: all readings of one photo share it. Where a chart was seen
// it comes from the errors of the patches near l when each was predicted from the others;
// otherwise from the posterior of the parameters and what cameras do beside the model.
func (c *Correction) PlusMinus(l colour.Lab) float64 {
	if len(c.leftOut) == 0 {
		return colour.Radius95(l, c.Covariance(l, l))
	}
	const near = 30 // distance in Lab over which errors of left-out samples tell of a colour
	sum, weights := 0.0, 0.0
	for _, e := range c.leftOut {
		d := colour.DeltaE76(l, e.at) / near
		w := math.Exp(-d*d/2) + 1e-3 // far from all of them, each counts alike
		sum += w * e.deltaE * e.deltaE
		weights += w
	}
	return colour.DeviationsIn95 * math.Sqrt(sum/weights)
}

// PlusMinusBetween returns the radius, in ΔE00, that holds the true difference of two colours
// of one photo 95 times in 100, as far as the correction is to blame. Both share its error,
// the more so the nearer they are, so this is less than either colour's own.
func (c *Correction) PlusMinusBetween(a, b colour.Lab) float64 {
	if len(c.leftOut) == 0 {
		return colour.Radius95(a, ofDifference(c.Covariance(a, a), c.Covariance(b, b), c.Covariance(a, b)))
	}
	forA, forB := c.PlusMinus(a), c.PlusMinus(b)
	shared := residualCovariance(a, b) / (residualSize * residualSize)
	return math.Sqrt(max(0, forA*forA+forB*forB-2*shared*forA*forB))
}

// ofDifference is the covariance of a difference, given that of both terms and the one they share.
func ofDifference(first, second, shared [3][3]float64) (cov [3][3]float64) {
	for i := range cov {
		for k := range cov {
			cov[i][k] = first[i][k] + second[i][k] - shared[i][k] - shared[k][i]
		}
	}
	return cov
}

// Covariance is that of the errors, in L*, a*, b*, that the correction makes in two readings of one photo, of colours a and b.
func (c *Correction) Covariance(a, b colour.Lab) [3][3]float64 {
	return sum(propagate(c.jacobian(a), c.posterior, c.jacobian(b)), c.misfit(a, c, b))
}

// misfit is the covariance of what is left wrong beyond the posterior's at colour a in this photo and at b in another by the same camera,
// or in the same. What a chart shows holds for its photo alone; where none is, that is what cameras do.
func (c *Correction) misfit(a colour.Lab, other *Correction, b colour.Lab) (cov [3][3]float64) {
	switch {
	case c.light != other.light:
		return cov
	case len(c.leftOut) == 0 && len(other.leftOut) == 0:
		first, second := c.saturationSlope(a), other.saturationSlope(b)
		cov = priorOf(c.light).misfit.covariance(a, b, first, second)
		if c.pins != nil {
			c.pins.lessen(&cov, a, b, first, second)
		}
		return cov
	case c != other:
		return cov
	}
	shared := c.leftOutMisfit(a) * c.leftOutMisfit(b) * residualCovariance(a, b) / (residualSize * residualSize)
	for i := range cov {
		cov[i][i] = shared
	}
	return cov
}

// leftOutMisfit is the standard deviation, in each of L*, a*, b*, of the errors that the chart shows near l beyond the posterior's.
func (c *Correction) leftOutMisfit(l colour.Lab) float64 {
	seen, predicted := c.PlusMinus(l)/colour.DeviationsIn95, c.posteriorRMS(l, c.jacobian(l))
	each := colour.RMSDeltaE(l, [3][3]float64{{1}, {0, 1}, {0, 0, 1}})
	return math.Sqrt(max(0, seen*seen-predicted*predicted)) / each
}

// jacobian holds the derivatives of L*, a*, b* by every parameter, a row each, where l is seen.
func (c *Correction) jacobian(l colour.Lab) *mat.Dense {
	_, slopes := c.params.sensitivity(c.recordedRoughly(l), Position{})
	j := mat.NewDense(3, nCamera, nil)
	for i := range slopes {
		j.SetRow(i, slopes[i][:])
	}
	return j
}

// posteriorRMS is the root mean square error, in ΔE00 about l, that the posterior covariance of the
// parameters gives to Lab by the Jacobian j.
func (c *Correction) posteriorRMS(l colour.Lab, j *mat.Dense) float64 {
	return colour.RMSDeltaE(l, propagate(j, c.posterior, j))
}

// propagate carries a covariance of parameters to Lab: a·covariance·bᵀ.
func propagate(a *mat.Dense, covariance mat.Matrix, b *mat.Dense) (cov [3][3]float64) {
	var product mat.Dense
	product.Product(a, covariance, b.T())
	for i := range cov {
		copy(cov[i][:], product.RawRowView(i))
	}
	return cov
}

// recordedRoughly is about what the camera recorded of l: the correction undone as if it were
// gains alone. The uncertainty changes slowly, so that is near enough.
func (c *Correction) recordedRoughly(l colour.Lab) colour.LinearRGB {
	want := l.LinearRGB()
	const grey = 0.2
	white := c.params.xyz(colour.LinearRGB{R: grey, G: grey, B: grey}, Position{}).LinearRGB()
	gain := func(v float64) float64 { return max(v, 1e-3) / grey }
	return colour.LinearRGB{R: want.R / gain(white.R), G: want.G / gain(white.G), B: want.B / gain(white.B)}
}
