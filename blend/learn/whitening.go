package learn

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"huewright/colour/spectra"
)

// A whitening turns the residuals of all observations into independent ones of variance 1. It is lower triangular,
// three rows an observation: the inverse Cholesky factor of their covariance.
type whitening [][]float64

// solve returns WᵀW times residuals, the inverse of their covariance times them.
func (w whitening) solve(residuals []float64) []float64 {
	out := make([]float64, len(residuals))
	for _, row := range w {
		sum := 0.0
		for k, v := range row {
			sum += v * residuals[k]
		}
		for k, v := range row {
			out[k] += v * sum
		}
	}
	return out
}

// plainWhitening takes observations as independent, and the substrate as showing through its coats undiminished.
func (q *problem) plainWhitening() whitening {
	white := make(whitening, q.rows)
	for i := range white {
		v := &q.observations[i/3]
		variance := v.misfit*v.misfit + q.readings.covariance.At(3*v.reading+i%3, 3*v.reading+i%3)
		if v.substrate >= 0 {
			variance += q.readings.covariance.At(3*v.substrate+i%3, 3*v.substrate+i%3)
		}
		white[i] = make([]float64, i+1)
		white[i][i] = 1 / math.Sqrt(variance)
	}
	return white
}

// whiteningAt returns the whitening of the problem linearised at a point.
func (q *problem) whiteningAt(at []float64) whitening {
	if q.rows == 0 {
		return nil
	}
	cov := q.jacobianAt(at).covariance(q)
	var factor mat.Cholesky
	if !factor.Factorize(cov) {
		return q.plainWhitening() // Shared is no covariance
	}
	var lower, inverse mat.TriDense
	factor.LTo(&lower)
	if err := inverse.InverseTri(&lower); err != nil {
		return q.plainWhitening()
	}
	white := make(whitening, q.rows)
	for i := range white {
		white[i] = make([]float64, i+1)
		for k := range white[i] {
			white[i][k] = inverse.At(i, k)
		}
	}
	return white
}

// A jacobian has a block for each observation.
type jacobian []jacobianBlock

// A jacobianBlock is the derivative of a prediction, in L*, a*, b*, by the error of the substrate's reading, by each
// mode of the substrate's spectrum, and by the logarithm of the film.
type jacobianBlock struct {
	ground [3][3]float64
	mode   [3][spectra.Modes]float64
	film   [3]float64
}

func (q *problem) jacobianAt(at []float64) jacobian {
	all := make(jacobian, len(q.observations))
	for i := range q.observations {
		v, k := &q.observations[i], q.component[i]
		if v.substrate < 0 {
			continue
		}
		first, last := q.reach(k)
		by := q.components[k].sensitivity(q.index[i], at[first:last])
		g := &q.readings.priors[v.substrate]
		for c := range 3 {
			all[i].film[c] = by.film[c]
			for band, slope := range by.ground[c] {
				for a := range 3 {
					all[i].ground[c][a] += slope * g.ByLab[band][a]
				}
				for m := range spectra.Modes {
					all[i].mode[c][m] += slope * g.ByMode[band][m]
				}
			}
		}
	}
	return all
}

// covariance returns the covariance of all residuals.
func (all jacobian) covariance(q *problem) *mat.SymDense {
	cov := mat.NewSymDense(q.rows, nil)
	for i := range all {
		for k := i; k < len(all); k++ {
			block := all.block(q, i, k)
			for a := range 3 {
				for b := range 3 {
					if i != k || a <= b {
						cov.SetSym(3*i+a, 3*k+b, block[a][b])
					}
				}
			}
		}
	}
	return cov
}

// block returns the covariance of the residuals of observations i and k.
func (all jacobian) block(q *problem, i, k int) (cov [3][3]float64) {
	v, w := &q.observations[i], &q.observations[k]
	r := q.readings
	add := func(m *[3][3]float64, sign float64) {
		for a := range 3 {
			for b := range 3 {
				cov[a][b] += sign * m[a][b]
			}
		}
	}
	// The prediction starts from the substrate's reading, whose error it carries through the coats; the
	// residual is the prediction less the result, so that the two errors have opposite signs.
	results := r.block(v.reading, w.reading)
	add(&results, 1)
	if v.substrate >= 0 {
		m := r.block(v.substrate, w.reading)
		m = times(&all[i].ground, &m)
		add(&m, -1)
	}
	if w.substrate >= 0 {
		m := r.block(v.reading, w.substrate)
		m = timesTransposed(&m, &all[k].ground)
		add(&m, -1)
	}
	if v.substrate >= 0 && w.substrate >= 0 {
		m := r.block(v.substrate, w.substrate)
		m = times(&all[i].ground, &m)
		m = timesTransposed(&m, &all[k].ground)
		add(&m, 1)
		similarity := r.similarity.At(v.substrate, w.substrate)
		for a := range 3 {
			for b := range 3 {
				sum := 0.0
				for j := range spectra.Modes {
					sum += all[i].mode[a][j] * all[k].mode[b][j]
				}
				cov[a][b] += similarity * sum
			}
		}
	}
	if film := q.films.At(i, k); film != 0 {
		for a := range 3 {
			for b := range 3 {
				cov[a][b] += film * all[i].film[a] * all[k].film[b]
			}
		}
	}
	if i == k {
		for a := range 3 {
			cov[a][a] += v.misfit * v.misfit
		}
	}
	return cov
}

// times returns m·n.
func times(m, n *[3][3]float64) (p [3][3]float64) {
	for a := range 3 {
		for b := range 3 {
			for c := range 3 {
				p[a][b] += m[a][c] * n[c][b]
			}
		}
	}
	return p
}

// timesTransposed returns m·nᵀ.
func timesTransposed(m, n *[3][3]float64) (p [3][3]float64) {
	for a := range 3 {
		for b := range 3 {
			for c := range 3 {
				p[a][b] += m[a][c] * n[b][c]
			}
		}
	}
	return p
}

// standardDeviations returns that of each observation's residual, per axis.
func (all jacobian) standardDeviations(q *problem) []float64 {
	sd := make([]float64, len(all))
	for i := range all {
		own := all.block(q, i, i)
		sd[i] = math.Sqrt((own[0][0] + own[1][1] + own[2][2]) / 3)
	}
	return sd
}
