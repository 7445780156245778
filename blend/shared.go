package blend

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"huewright/colour"
)

// A whitening turns the residuals of all sights into ones that vary by 1 and not together: a
// lower triangular matrix, three rows a sight. Nil divides each by its own standard deviation.
type whitening [][]float64

// sharedWhitening is the whitening for readings of several photos: beside what each sight has
// of its own, what the photos get wrong about its readings, ground and result of every test
// and the chip, as covariance says. What is wrong about the home photo itself is left out: the
// coating is learned, and coats are counted, as that photo shows colours. It is nil when the
// covariance makes no sense.
func (e *Evidence) sharedWhitening(sights []sight, at *point) whitening {
	readings := e.readings()
	off := e.offHome(readings)
	leverage := e.leverage(sights, at, len(readings))
	n := 3 * len(sights)
	var all mat.Dense
	all.Product(leverage, off, leverage.T())
	cov := mat.NewSymDense(n, nil)
	for i := range n {
		for k := i; k < n; k++ {
			cov.SetSym(i, k, (all.At(i, k)+all.At(k, i))/2)
		}
		cov.SetSym(i, i, cov.At(i, i)+sights[i/3].sd*sights[i/3].sd)
	}
	var factor mat.Cholesky
	if !factor.Factorize(cov) {
		return nil
	}
	var lower mat.TriDense
	factor.LTo(&lower)
	var inverse mat.TriDense
	if err := inverse.InverseTri(&lower); err != nil {
		return nil
	}
	white := make(whitening, n)
	for i := range white {
		white[i] = make([]float64, i+1)
		for k := range white[i] {
			white[i][k] = inverse.At(i, k)
		}
	}
	return white
}

// offHome is the covariance of what the readings show otherwise than the home photo would
// have shown them: zero for those of the home photo. Where a colour comes from no photo, all that
// is wrong about the home photo stands between them.
func (e *Evidence) offHome(readings []*Measured) *mat.Dense {
	home := e.home()
	n := len(readings)
	at := make([]*Measured, n) // the same colour in the home photo
	for i, m := range readings {
		h := *m
		h.Photo = home
		at[i] = &h
	}
	off := mat.NewDense(3*n, 3*n, nil)
	for i, m := range readings {
		for k, o := range readings {
			if m.Photo == home || o.Photo == home {
				continue
			}
			mo, mh, ho, hh := e.shared(m, o), e.shared(m, at[k]), e.shared(at[i], o), e.shared(at[i], at[k])
			for r := range 3 {
				for c := range 3 {
					off.Set(3*i+r, 3*k+c, mo[r][c]-mh[r][c]-ho[r][c]+hh[r][c])
				}
			}
		}
	}
	return off
}

// shared is nothing for a colour that comes from no photo.
func (e *Evidence) shared(a, b *Measured) (cov [3][3]float64) {
	if a.Photo == "" || b.Photo == "" {
		return cov
	}
	return e.Shared(*a, *b)
}

// leverage is how the residuals change with the readings: a result's by itself, and a
// ground's by what the coats let through of it.
func (e *Evidence) leverage(sights []sight, at *point, readings int) *mat.Dense {
	m := mat.NewDense(3*len(sights), 3*readings, nil)
	reading := 0
	for i := range sights {
		if !sights[i].opaque {
			under := e.Tests[i-len(sights)+len(e.Tests)].Ground.Lab
			through := sights[i].through(under, at)
			for r := range 3 {
				for c := range 3 {
					m.Set(3*i+r, 3*reading+c, through[r][c])
				}
			}
			reading++
		}
		for r := range 3 {
			m.Set(3*i+r, 3*reading+r, -1)
		}
		reading++
	}
	return m
}

// through is how L*, a*, b* of what is foreseen change with those of the ground.
func (v *sight) through(ground colour.Lab, p *point) (slopes [3][3]float64) {
	const h = 0.5
	foreseen := func(c colour.Lab) [3]float64 {
		moved := *v
		moved.ground = colour.SpectrumOf(c)
		lab, _ := moved.predict(p)
		return [3]float64{lab.L, lab.A, lab.B}
	}
	for c := range 3 {
		up, down := [3]float64{ground.L, ground.A, ground.B}, [3]float64{ground.L, ground.A, ground.B}
		up[c] += h
		down[c] -= h
		above := foreseen(colour.Lab{L: up[0], A: up[1], B: up[2]})
		below := foreseen(colour.Lab{L: down[0], A: down[1], B: down[2]})
		for r := range 3 {
			slopes[r][c] = (above[r] - below[r]) / (2 * h)
		}
	}
	return slopes
}

// spread is the standard deviation of a sight's residual with its shared part, per axis.
func (w whitening) spread(sights []sight) []float64 {
	sd := make([]float64, len(sights))
	for i := range sights {
		sd[i] = sights[i].sd
	}
	if w == nil {
		return sd
	}
	n := len(w)
	lower := mat.NewTriDense(n, mat.Lower, nil)
	for i := range w {
		for k, v := range w[i] {
			lower.SetTri(i, k, v)
		}
	}
	var back mat.TriDense
	if err := back.InverseTri(lower); err != nil {
		return sd
	}
	for i := range sd {
		sum := 0.0
		for r := 3 * i; r < 3*i+3; r++ {
			for k := range r + 1 {
				sum += back.At(r, k) * back.At(r, k)
			}
		}
		sd[i] = math.Sqrt(sum / 3)
	}
	return sd
}
