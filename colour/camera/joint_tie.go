package camera

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"huewright/colour"
)

// tieSD is how well a plain surface is read twice in one photo, in each of L*, a*, b*.
const tieSD = 0.5

// A tieObservation is a tie point as a photo shows it.
type tieObservation struct {
	TiePoint
	tie      int        // its number among those that two photos show
	residual colour.Lab // of the camera model near its colour, by the photo's own chart
}

func (o *tieObservation) corrected(p *cameraParams) colour.Lab {
	lab := p.xyz(o.Camera, Position{}).Lab()
	return colour.Lab{L: lab.L + o.residual.L, A: lab.A + o.residual.A, B: lab.B + o.residual.B}
}

// addTo adds how far the photo recorded the tie point from how it should have recorded a surface of colour want. The
// photo's parameters p begin at from, want at wantAt; noise is how much ties are off by, against what is stated of them.
//
// Note: the error is measured as it was recorded, in Lab of sRGB without correction, and not as it
// is after correction. As the tie point's colour is unknown, the latter would be least with all
// photos corrected to one flat dark grey.
func (o *tieObservation) addTo(w *rows, p *cameraParams, want [3]float64, noise float64, from, wantAt int) {
	weight := 1 / (noise * max(tieSD, o.SD))
	back, ok := o.backProjection(p)
	if !ok { // too dark for its colour to say anything
		back, weight = mat.NewDense(3, 3, nil), 0
	}
	off := o.recordedError(back, p, want)
	var slopes jacobian
	if w.j != nil && ok {
		slopes = o.slopes(p, want)
	}
	for k := range off {
		w.add(weight * off[k])
		for m, v := range slopes[k] {
			w.slope(from+m, weight*v)
		}
		for i := range 3 {
			w.slope(wantAt+i, -weight*back.At(k, i))
		}
	}
}

// recordedError is the error as recorded, given the matrix that takes corrected errors back to recorded ones.
func (o *tieObservation) recordedError(back *mat.Dense, p *cameraParams, want [3]float64) (off [3]float64) {
	got := o.corrected(p)
	for k := range off {
		for i, v := range [3]float64{got.L - want[0], got.A - want[1], got.B - want[2]} {
			off[k] += back.At(k, i) * v
		}
	}
	return off
}

// slopes are the derivatives of recordedError by every parameter, by central differences: the matrix changes
// with all of them too.
func (o *tieObservation) slopes(p *cameraParams, want [3]float64) (slopes jacobian) {
	const h = 1e-5
	for m := range p {
		if m >= atField && m < atMatrix {
			continue // the field is 0 at its centre
		}
		up, down := *p, *p
		up[m] += h
		down[m] -= h
		backUp, okUp := o.backProjection(&up)
		backDown, okDown := o.backProjection(&down)
		if !okUp || !okDown {
			continue
		}
		above, below := o.recordedError(backUp, &up, want), o.recordedError(backDown, &down, want)
		for k := range slopes {
			slopes[k][m] = (above[k] - below[k]) / (2 * h)
		}
	}
	return slopes
}

// backProjection is the Jacobian of recorded Lab by corrected Lab, where the tie point was seen.
func (o *tieObservation) backProjection(p *cameraParams) (*mat.Dense, bool) {
	var back mat.Dense
	if err := back.Inverse(p.labByLog(o.Camera)); err != nil {
		return nil, false
	}
	recorded := identity.labByLog(o.Camera)
	recorded.Mul(recorded, &back)
	return recorded, true
}

// labByLog is the Jacobian of Lab by the logarithms of the recorded light.
func (p *cameraParams) labByLog(c colour.LinearRGB) *mat.Dense {
	_, slopes := p.sensitivity(c, Position{})
	m := mat.NewDense(3, 3, nil)
	for k, v := range [3]float64{c.R, c.G, c.B} {
		_, steepness := toneBasis(max(v, leastLight))
		bent := 1.0
		for m, steep := range steepness {
			bent += p[atBend+m] * steep
		}
		for i := range 3 {
			m.Set(i, k, slopes[i][atGain+k]*bent)
		}
	}
	return m
}

// noiseWorth is how many residuals the stated standard deviations of tie points are worth beside those that are seen. Our own choice.
const noiseWorth = 12

// noiseOfTies is how much tie points are off by, against what is stated of them, as the photos agree about them: where they agree better
// than was stated, as about the patches of printed slips, the solution is surer than it thought, and where they agree less it is less sure.
//
// Of n residuals with a standard deviation of 1 a sum of squares of n − tr H is expected, where H = J·Σ·Jᵀ is what the fit has taken up of
// them. Their variance has a scaled inverse χ² prior, about 1.
//
// Source: Gelman et al. (2013), Bayesian Data Analysis, 3rd ed., section 2.6.
func (f *jointProblem) noiseOfTies(params []float64, posterior *mat.SymDense) float64 {
	n := 0
	for i := range f.photos {
		n += 3 * len(f.photos[i].ties)
	}
	if n == 0 {
		return 1
	}
	off, j := make([]float64, n), mat.NewDense(n, f.parameters, nil)
	w := newRows(off, j)
	for i := range f.photos {
		f.addTies(w, params, i)
	}
	var taken mat.Dense
	taken.Mul(j, posterior)
	free, squares := 0.0, 0.0
	for i, v := range off {
		free += 1 - mat.Dot(taken.RowView(i), j.RowView(i))
		squares += v * v
	}
	return math.Sqrt((noiseWorth + squares) / (noiseWorth + max(free, 0)))
}
