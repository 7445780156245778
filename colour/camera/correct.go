package camera

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"huewright/colour"
)

// A Correction takes what one photo recorded to what was there. Any number of goroutines may
// use it at once.
type Correction struct {
	params    cameraParams
	residuals residualField
	quick     *cubeTable // of the two above; nil when they are cheap enough as they are

	known     int            // samples and ties it was fitted to
	samples   []Sample       // of them, the samples
	leftOut   []leftOutError // what the fit to all other samples got wrong; for a chart only
	posterior *mat.SymDense  // covariance of params
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
	case c.quick != nil:
		if xyz, ok := c.quick.lookup(camera); ok {
			return xyz
		}
	}
	return c.exact(camera)
}

// Samples are the known surfaces it was fitted to, those left out not among them.
func (c *Correction) Samples() []Sample { return c.samples }

// Lab is short for c.Apply(camera).Lab().
func (c *Correction) Lab(camera colour.LinearRGB) colour.Lab { return c.Apply(camera).Lab() }

func (c *Correction) exact(camera colour.LinearRGB) colour.XYZ {
	xyz := c.params.xyz(camera, Position{})
	if len(c.residuals.at) == 0 {
		return xyz
	}
	return c.residuals.correct(xyz.Lab()).XYZ()
}

// nearEnough is the distance in Lab over which the errors of left-out samples tell of a
// colour.
const nearEnough = 30

// PlusMinus returns the radius, in ΔE00, that holds the true colour 95 times in 100, as far
// as the correction is to blame: all readings of one photo share it. Where a chart was seen
// it is built from the errors of the patches near l when each was predicted from the others;
// otherwise from what the fit left undecided.
func (c *Correction) PlusMinus(l colour.Lab) float64 {
	if len(c.leftOut) == 0 {
		return colour.DeviationsIn95 * c.undecided(l, c.slopes(l))
	}
	sum, weights := 0.0, 0.0
	for _, e := range c.leftOut {
		d := colour.DeltaE76(l, e.at) / nearEnough
		w := math.Exp(-d*d/2) + 1e-3 // far from all of them, each counts alike
		sum += w * e.deltaE * e.deltaE
		weights += w
	}
	return colour.DeviationsIn95 * math.Sqrt(sum/weights)
}

// PlusMinusBetween returns the radius, in ΔE00, that holds the true difference of two colours
// of one photo 95 times in 100, as far as the correction is to blame. What it gets wrong it
// gets wrong in both, the more so the nearer they are, so this is less than either colour's
// own.
func (c *Correction) PlusMinusBetween(a, b colour.Lab) float64 {
	if len(c.leftOut) == 0 {
		slopes := c.slopes(a)
		slopes.Sub(slopes, c.slopes(b))
		return colour.DeviationsIn95 * c.undecided(a, slopes)
	}
	forA, forB := c.PlusMinus(a), c.PlusMinus(b)
	shared := alike(a, b) / (residualSize * residualSize)
	return math.Sqrt(max(0, forA*forA+forB*forB-2*shared*forA*forB))
}

// slopes are the derivatives of L*, a*, b* by every parameter, a row each, where l is seen.
func (c *Correction) slopes(l colour.Lab) *mat.Dense {
	_, slopes := c.params.sensitivity(c.recorded(l), Position{}, true)
	j := mat.NewDense(3, nCamera, nil)
	for i := range slopes {
		j.SetRow(i, slopes[i][:])
	}
	return j
}

// undecided is the root mean square error, in ΔE00 about l, that the posterior of the
// parameters leaves in what has the given slopes: the covariance carried to Lab.
func (c *Correction) undecided(l colour.Lab, slopes *mat.Dense) float64 {
	var carried mat.Dense
	carried.Product(slopes, c.posterior, slopes.T())
	return colour.RMSDeltaE(l, array3(&carried))
}

func array3(m *mat.Dense) (a [3][3]float64) {
	for i := range a {
		copy(a[i][:], m.RawRowView(i))
	}
	return a
}

// recorded is roughly what the camera recorded of l: the correction undone as if it were
// gains alone. The uncertainty changes slowly, so that is near enough.
func (c *Correction) recorded(l colour.Lab) colour.LinearRGB {
	want := l.LinearRGB()
	const grey = 0.2
	white := c.params.xyz(colour.LinearRGB{R: grey, G: grey, B: grey}, Position{}).LinearRGB()
	gain := func(v float64) float64 { return max(v, 1e-3) / grey }
	return colour.LinearRGB{R: want.R / gain(white.R), G: want.G / gain(white.G), B: want.B / gain(white.B)}
}
