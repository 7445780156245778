package learn

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/fault"
)

// A Report says what is weak about the evidence on a coating, and how well it is known.
type Report struct {
	residuals []residual // the chip first when there is one, then each test coat
	Warnings  []fault.Note

	at         point
	covariance *mat.SymDense // Laplace covariance of the unknowns; nil where the evidence leaves none
}

// HasChip reports whether an opaque chip was among the evidence.
func (r *Report) HasChip() bool {
	return len(r.residuals) > 0 && r.residuals[0].test == 0
}

// A residual is the difference of an observation from its prediction.
type residual struct {
	test      int // of which test coat, from 1; 0 of the opaque chip
	measured  colour.Lab
	predicted colour.Lab
	deltaE    float64 // CIEDE2000
	sd        float64 // expected standard deviation, per axis, CIELAB units
}

// An outlier lies further from its prediction than chance often brings.
const (
	outlierSDs    = 3.0 // standard deviations beyond which a residual is an outlier
	outlierDeltaE = 2.0 // ΔE00 up to which it is not worth a word
)

func (r *residual) isOutlier() bool { return r.deltaE > outlierDeltaE && r.deltaE > outlierSDs*r.sd }

// PlusMinus returns the 95 % radius, in ΔE00, of the predicted colour of a number of coats on a sealed ground, as
// far as the coating is unknown; application variability and readings to come are not in it. It is a Laplace
// approximation, and wide rather than narrow: with evidence that agrees, measured paints stay within it in 92 to 97
// of 100 cases, see TestPlusMinusCovers. Contradictory evidence widens it by the worst outlier: what was never
// measured is not predicted better than what was.
func (r *Report) PlusMinus(ground colour.Lab, coats float64) float64 {
	v := observation{ground: spectra.PriorSpectrum(ground), application: application{coats: coats, share: 1}}
	return math.Hypot(r.radius(&v), r.worstOutlier())
}

// radius returns the 95 % radius in ΔE00 of the prediction of v.
func (r *Report) radius(v *observation) float64 {
	if r.covariance == nil {
		return math.NaN()
	}
	lab, slopes := v.predict(&r.at)
	var covariance [3][3]float64
	for i := range slopes {
		var carried mat.VecDense
		carried.MulVec(r.covariance, mat.NewVecDense(unknowns, slopes[i][:]))
		for k := range slopes {
			covariance[i][k] = mat.Dot(&carried, mat.NewVecDense(unknowns, slopes[k][:]))
		}
	}
	return colour.Radius95(lab, covariance)
}

// worstOutlier returns the largest outlier in ΔE00, 0 when there is none. The Laplace covariance does not grow when
// the evidence is contradictory.
//
// Note: widening the radius by Birge's ratio was tried and left. It makes hundreds of units where little was known,
// and too few where the fit ends with a film that can hardly be seen.
func (r *Report) worstOutlier() (largest float64) {
	for _, v := range r.residuals {
		if v.isOutlier() {
			largest = max(largest, v.deltaE)
		}
	}
	return largest
}
