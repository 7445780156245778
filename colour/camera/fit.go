package camera

import (
	"context"
	"math"

	"gonum.org/v1/gonum/mat"

	"huewright/colour"
	"huewright/internal/lm"
)

// A Sample is a surface of known colour as a camera recorded it.
type Sample struct {
	Name   string
	Camera colour.LinearRGB // averaged in linear light
	Want   colour.Lab
	At     Position // on the chart; zero for anything that is not part of one
	Skip   string   // why it must not be used, in a few words; "" means use it
	Doubt  string   // why it takes no part in the fit though its error counts, in a few words; "" means it does
}

// A cameraPrior says how far cameras stray from one that needs no correction, as standard
// deviations of the model's parameters.
type cameraPrior struct {
	gain     float64 // of ln gain, channel by channel
	exposure float64 // of ln gain, of all channels together
	bend     float64
	field    float64
	prim     float64 // of the terms r, g, b, about the matrix of sRGB
	root     float64 // of the terms √rg, √gb, √rb, about zero
}

// A chart says so much that a prior only has to keep the fit from running wild, and a wide
// one predicts left-out patches best. A card or two says nothing of strong colours, so there
// the prior is how much phones differ; TestGreyCardOnRealPhotos holds what comes of it. The
// gains are left wide wherever something is known, or a tone bend would be taken for part
// of a colour cast. Where nothing is known, exposure may be anything, but phones balance
// white by themselves.
var (
	chartPrior   = cameraPrior{gain: 1, bend: 0.3, field: 0.12, prim: 0.15, root: 0.08}
	cardPrior    = cameraPrior{gain: 1, bend: 0.3, field: 0.12, prim: 0.05, root: 0.03}
	nothingPrior = cameraPrior{gain: 0.1, exposure: 0.4, bend: 0.3, field: 0.12, prim: 0.05, root: 0.03}
)

func priorFor(samples int) cameraPrior {
	if samples < leastForResiduals {
		return cardPrior
	}
	return chartPrior
}

// covariance is what is left undecided where there is nothing to fit.
func (c cameraPrior) covariance() *mat.SymDense {
	cov := mat.NewSymDense(nCamera, nil)
	for k, sd := range c.deviations() {
		cov.SetSym(k, k, sd*sd)
	}
	for i := range 3 {
		for k := i; k < 3; k++ {
			cov.SetSym(atGain+i, atGain+k, cov.At(atGain+i, atGain+k)+c.exposure*c.exposure)
		}
	}
	return cov
}

// deviations lays the prior out parameter by parameter.
func (c cameraPrior) deviations() (sd cameraParams) {
	for k := range sd {
		switch {
		case k < atBend:
			sd[k] = c.gain
		case k < atField:
			sd[k] = c.bend
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

const (
	// residualSD is the error in each of L*, a*, b* that a patch keeps under the best of
	// models: print tolerance, fading, gloss.
	residualSD = 1.5
	// greySD is that of the sum of each row of B. Gains and the sum of a row do the same to
	// a grey, so without it a lone grey card would turn part of a colour cast into a change
	// of colours.
	greySD = 0.02
)

// weight discounts strong colours, where a step of Lab is less to the eye and a phone is
// least to be trusted. It is one over the standard deviation.
func (s *Sample) weight() float64 {
	return math.Pow(1+0.045*math.Hypot(s.Want.A, s.Want.B), -0.7) / residualSD
}

// cameraProblem is the maximum a posteriori fit of the camera model as least squares: three
// residuals a sample, one a parameter that holds it to its prior, and one a row of B for its
// sum.
type cameraProblem struct {
	samples []Sample
	prior   cameraParams // standard deviations
}

func newCameraProblem(samples []Sample) cameraProblem {
	return cameraProblem{samples, priorFor(len(samples)).deviations()}
}

// cameraSteps is more than samples that can be right take. A chart read the wrong way round would go on
// bending the model for long, to no end.
const cameraSteps = 25

func (f cameraProblem) solve(start *cameraParams) lm.Result {
	return lm.Minimise(context.Background(), lm.Residuals(3*len(f.samples)+nCamera+3, nCamera, f.evaluate), start[:], lm.Options{Steps: cameraSteps})
}

func (f cameraProblem) evaluate(params, r []float64, j *mat.Dense) {
	p := (*cameraParams)(params)
	if j != nil {
		j.Zero()
	}
	for i := range f.samples {
		s := &f.samples[i]
		lab, slopes := p.sensitivity(s.Camera, s.At, j != nil)
		w := s.weight()
		for k, miss := range [3]float64{lab.L - s.Want.L, lab.A - s.Want.A, lab.B - s.Want.B} {
			r[3*i+k] = w * miss
			if j == nil {
				continue
			}
			row := j.RawRowView(3*i + k)
			for m := range row {
				row[m] = w * slopes[k][m]
			}
		}
	}
	at := 3 * len(f.samples)
	for k := range p {
		r[at+k] = (p[k] - sRGBAtItsWord[k]) / f.prior[k]
		if j != nil {
			j.Set(at+k, k, 1/f.prior[k])
		}
	}
	for i := range 3 {
		row := at + nCamera + i
		r[row] = 0
		for k := atMatrix + i*nTerms; k < atMatrix+(i+1)*nTerms; k++ {
			r[row] += (p[k] - sRGBAtItsWord[k]) / greySD
			if j != nil {
				j.Set(row, k, 1/greySD)
			}
		}
	}
}

// sensitivity returns the Lab the model predicts and, if asked, its derivatives by every
// parameter.
func (p *cameraParams) sensitivity(c colour.LinearRGB, at Position, slopesToo bool) (lab colour.Lab, slopes [3][nCamera]float64) {
	if !slopesToo {
		return p.xyz(c, at).Lab(), slopes
	}
	var y, bend1, bend2 [3]float64
	for k, v := range [3]float64{c.R, c.G, c.B} {
		y[k], bend1[k], bend2[k] = p.response(k, v, at)
	}
	t := terms(y[0], y[1], y[2])
	lab, byXYZ := p.combine(t).LabJacobian()

	// dterm[k][m] is how term m moves when ln y of channel k does.
	dterm := [3][nTerms]float64{
		{y[0], 0, 0, t[3] / 2, 0, t[5] / 2},
		{0, y[1], 0, t[3] / 2, t[4] / 2, 0},
		{0, 0, y[2], 0, t[4] / 2, t[5] / 2},
	}
	for i := range 3 {
		for row := range 3 {
			for m, v := range t {
				slopes[i][atMatrix+row*nTerms+m] = byXYZ[i][row] * v
			}
		}
		for k := range 3 {
			byLog := 0.0
			for row := range 3 {
				for m, v := range dterm[k] {
					byLog += byXYZ[i][row] * p[atMatrix+row*nTerms+m] * v
				}
			}
			slopes[i][atGain+k] = byLog
			slopes[i][atBend] += byLog * bend1[k]
			slopes[i][atBend+1] += byLog * bend2[k]
			slopes[i][atField] -= byLog * at.X
			slopes[i][atField+1] -= byLog * at.Y
		}
	}
	return lab, slopes
}
