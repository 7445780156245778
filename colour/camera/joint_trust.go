package camera

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"

	"huewright/colour"
)

// Covariance is that of the errors, in L*, a*, b*, that two photos' corrections make in
// readings of colour la in photo a and lb in photo b. Both may be one photo.
func (j *Joint) Covariance(a int, la colour.Lab, b int, lb colour.Lab) (cov [3][3]float64) {
	var carried mat.Dense
	carried.Product(j.corrections[a].slopes(la), j.posterior.between(a, b), j.corrections[b].slopes(lb).T())
	cov = array3(&carried)
	if a == b {
		shared := j.misfit(a, la) * j.misfit(b, lb) * alike(la, lb) / (residualSize * residualSize)
		for i := range cov {
			cov[i][i] += shared
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
	own, other, shared := j.Covariance(a, la, a, la), j.Covariance(b, lb, b, lb), j.Covariance(a, la, b, lb)
	var cov [3][3]float64
	for i := range cov {
		for k := range cov {
			cov[i][k] = own[i][k] + other[i][k] - shared[i][k] - shared[k][i]
		}
	}
	return colour.Radius95(la, cov)
}

// misfit is the standard deviation, in each of L*, a*, b*, of what a photo's chart shows to
// be wrong near l beyond what its fit left undecided. It is 0 for a photo without a chart:
// how far the model misses there is not known.
func (j *Joint) misfit(photo int, l colour.Lab) float64 {
	c := j.corrections[photo]
	if len(c.leftOut) == 0 {
		return 0
	}
	seen, foreseen := c.PlusMinus(l)/colour.DeviationsIn95, c.undecided(l, c.slopes(l))
	each := colour.RMSDeltaE(l, [3][3]float64{{1}, {0, 1}, {0, 0, 1}})
	return math.Sqrt(max(0, seen*seen-foreseen*foreseen)) / each
}

// A JointDraw is one way in which all photos of a Joint may be wrong together.
type JointDraw struct {
	joint *Joint
	off   []float64 // of the parameters of all photos
	waves [][3]wave // of the misfit of each photo
}

// Draw draws what is wrong about the photos, as probable as the joint posterior says: one
// error for each photo, shared by all of its readings.
func (j *Joint) Draw(rng *rand.Rand) *JointDraw {
	d := &JointDraw{joint: j, off: j.posterior.draw(rng), waves: make([][3]wave, len(j.corrections))}
	for i := range d.waves {
		for k := range d.waves[i] {
			d.waves[i][k] = newWave(rng)
		}
	}
	return d
}

// Lab is what a reading l of a photo would have been, had the photo been wrong in the way
// that was drawn.
func (d *JointDraw) Lab(photo int, l colour.Lab) colour.Lab {
	slopes := d.joint.corrections[photo].slopes(l)
	var off mat.VecDense
	off.MulVec(slopes, mat.NewVecDense(nCamera, d.off[photo*nCamera:(photo+1)*nCamera]))
	size, waves := d.joint.misfit(photo, l), &d.waves[photo]
	return colour.Lab{
		L: l.L + off.AtVec(0) + size*waves[0].at(l),
		A: l.A + off.AtVec(1) + size*waves[1].at(l),
		B: l.B + off.AtVec(2) + size*waves[2].at(l),
	}
}

// A wave is a smooth random function of colour, of variance 1, whose values are alike at two
// colours as the residuals of a chart are.
//
// Source: Rahimi, Recht (2007), Random features for large-scale kernel machines, NIPS 20.
type wave [32]struct{ l, a, b, phase float64 }

func newWave(rng *rand.Rand) (w wave) {
	for i := range w {
		f := &w[i]
		f.l, f.a, f.b = rng.NormFloat64()/residualLength, rng.NormFloat64()/residualLength, rng.NormFloat64()/residualLength
		f.phase = 2 * math.Pi * rng.Float64()
	}
	return w
}

func (w *wave) at(c colour.Lab) float64 {
	sum := 0.0
	for _, f := range w {
		sum += math.Cos(f.l*c.L + f.a*c.A + f.b*c.B + f.phase)
	}
	return sum * math.Sqrt(2/float64(len(w)))
}

// A jointPosterior is what a joint fit leaves undecided about its parameters.
type jointPosterior struct {
	factor     mat.Cholesky // of the inverse of covariance
	covariance *mat.SymDense
}

func newJointPosterior(normal *mat.SymDense) jointPosterior {
	p := jointPosterior{covariance: mat.NewSymDense(normal.SymmetricDim(), nil)}
	if p.factor.Factorize(normal) { // always: each prior adds to the diagonal
		_ = p.factor.InverseTo(p.covariance)
	}
	return p
}

// between is the covariance of the camera model of one photo with that of another.
func (p *jointPosterior) between(a, b int) *mat.Dense {
	block := mat.NewDense(nCamera, nCamera, nil)
	for i := range nCamera {
		for k := range nCamera {
			block.Set(i, k, p.covariance.At(a*nCamera+i, b*nCamera+k))
		}
	}
	return block
}

// of is the covariance of the camera model of one photo.
func (p *jointPosterior) of(photo int) *mat.SymDense {
	block := mat.NewSymDense(nCamera, nil)
	for i := range nCamera {
		for k := i; k < nCamera; k++ {
			block.SetSym(i, k, p.covariance.At(photo*nCamera+i, photo*nCamera+k))
		}
	}
	return block
}

// draw solves Lᵀ x = z for the factor L of the precision, so that x has the covariance.
func (p *jointPosterior) draw(rng *rand.Rand) []float64 {
	var upper mat.TriDense
	p.factor.UTo(&upper)
	n := p.covariance.SymmetricDim()
	z := mat.NewVecDense(n, nil)
	for i := range n {
		z.SetVec(i, rng.NormFloat64())
	}
	x := mat.NewVecDense(n, nil)
	_ = x.SolveVec(&upper, z) // a precision's factor has no zero on its diagonal
	return x.RawVector().Data
}
