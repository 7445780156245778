package camera

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// A cameraPrior says how far cameras deviate from one that needs no correction, as standard
// deviations of the model's parameters; the tone bends have a mean and a covariance.
type cameraPrior struct {
	gain     float64 // of ln gain, channel by channel
	exposure float64 // of ln gain, of all channels together
	tones    tonePrior
	field    float64
	prim     float64 // of the terms r, g, b, about the matrix of sRGB
	root     float64 // of the terms √rg, √gb, √rb, about zero
}

// A chart says so much that a prior only has to keep the fit from running wild, and a wide
// one predicts left-out patches best. A card or two says nothing of strong colours and little of tones, so there
// the prior is what cameras do and how much they differ (learned.go). The
// gains are left wide wherever something is known, or a tone bend would be taken for part
// of a colour cast. Where nothing is known, exposure may be anything, but phones balance
// white by themselves.
var (
	chartPrior   = cameraPrior{gain: 1, tones: plainTones(0.3, 0.1), field: 0.12, prim: 0.15, root: 0.08}
	cardPrior    = cameraPrior{gain: 1, tones: learnedTones, field: 0.12, prim: 0.05, root: 0.03}
	nothingPrior = cameraPrior{gain: 0.1, exposure: 0.4, tones: learnedTones, field: 0.12, prim: 0.05, root: 0.03}
)

// perPhotoPrior is how one photo of a camera differs from the next: the software bends tones and pushes
// colours a little by what it takes the scene to be, and a white balance before the maker's matrix mixes channels anew. Gains are each
// photo's own altogether. Our own choice, tried on drawn cabinets; no source gives such figures.
var perPhotoPrior = cameraPrior{tones: plainTones(0.08, 0.06), field: 0.12, prim: 0.006, root: 0.0036}

// tieOnlyPrior is that of a camera of which no photo shows anything known. Tie points cannot tell what
// the camera does to tones in all of its photos alike, only what differs between them; left
// wide, its bend takes up what belongs to single photos.
var tieOnlyPrior = func() cameraPrior {
	p := cardPrior
	p.tones = plainTones(0.1, 0.1)
	return p
}()

// greySD is the standard deviation of the sum of each row of B. Gains and the sum of a row do the same to
// a grey, so without it a lone grey card would turn part of a colour cast into a change of colours.
const greySD = 0.02

// covariance is that of the parameters about a camera that needs no correction, where there is nothing to fit.
func (c cameraPrior) covariance() *mat.SymDense {
	cov := mat.NewSymDense(nCamera, nil)
	for k, sd := range c.deviations() {
		cov.SetSym(k, k, sd*sd)
	}
	for i, row := range c.tones.cov {
		for k := i; k < nBend; k++ {
			cov.SetSym(atBend+i, atBend+k, row[k]+c.tones.mean[i]*c.tones.mean[k])
		}
	}
	for i := range 3 {
		for k := i; k < 3; k++ {
			cov.SetSym(atGain+i, atGain+k, cov.At(atGain+i, atGain+k)+c.exposure*c.exposure)
		}
	}
	return cov
}

// precision is that of the parameters before anything is fitted, with the sums of the rows of B.
func (c cameraPrior) precision() *mat.SymDense {
	p := mat.NewSymDense(nCamera, nil)
	for k, sd := range c.deviations() {
		p.SetSym(k, k, 1/(sd*sd))
	}
	white := c.tones.whitening()
	for i := range nBend {
		for k := i; k < nBend; k++ {
			sum := 0.0
			for _, row := range white {
				sum += row[i] * row[k]
			}
			p.SetSym(atBend+i, atBend+k, sum)
		}
	}
	for from := atMatrix; from < nCamera; from += nTerms {
		for a := from; a < from+nTerms; a++ {
			for b := a; b < from+nTerms; b++ {
				p.SetSym(a, b, p.At(a, b)+1/(greySD*greySD))
			}
		}
	}
	return p
}

// deviations are the standard deviations of all parameters, exposure apart.
func (c cameraPrior) deviations() (sd cameraParams) {
	for k := range sd {
		switch {
		case k < atBend:
			sd[k] = c.gain
		case k < atField:
			sd[k] = math.Sqrt(c.tones.cov[k-atBend][k-atBend])
		case k < atMatrix:
			sd[k] = c.field
		case (k-atMatrix)%nTerms < 3:
			sd[k] = c.prim
		default:
			sd[k] = c.root
		}
	}
	return sd
}

// A tonePrior says how cameras bend tones: the mean and the covariance of t1, t2, t3.
type tonePrior struct {
	mean [nBend]float64
	cov  [nBend][nBend]float64
}

// plainTones are bends about none, with standard deviations of t1 and t2, and of t3.
func plainTones(bend, shoulder float64) (t tonePrior) {
	for k, sd := range [nBend]float64{bend, bend, shoulder} {
		t.cov[k][k] = sd * sd
	}
	return t
}

// whitening is the upper triangle W for which W·(bends − mean) are independent, with a standard deviation of 1: WᵀW is the inverse of the
// covariance. It panics if that has none.
func (t *tonePrior) whitening() (w [nBend][nBend]float64) {
	cov, inverse := mat.NewSymDense(nBend, nil), mat.NewSymDense(nBend, nil)
	for i := range t.cov {
		for k := i; k < nBend; k++ {
			cov.SetSym(i, k, t.cov[i][k])
		}
	}
	var factor mat.Cholesky
	ok := factor.Factorize(cov)
	if !ok || factor.InverseTo(inverse) != nil || !factor.Factorize(inverse) {
		panic("camera: the tone bends have no covariance")
	}
	var upper mat.TriDense
	factor.UTo(&upper)
	for i := range w {
		for k := i; k < nBend; k++ {
			w[i][k] = upper.At(i, k)
		}
	}
	return w
}
