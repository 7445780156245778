package learn

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"huewright/blend"
	"huewright/colour"
	"huewright/colour/spectra"
)

// A observation is one piece of evidence: a colour that was seen, and what it was seen of.
type observation struct {
	seen   colour.Lab
	opaque bool             // the coating so thick that no ground shows; else
	ground spectra.Spectrum // under
	layered

	reading, under int     // which readings they are; under is −1 where there is no ground
	hand           float64 // standard deviation of the logarithm of the film, as it was laid
	misfit         float64 // and in each of L*, a*, b*, of what no model of ours foresees
}

// layered is how coats were laid.
type layered struct {
	coats float64
	share float64 // strength of the mix over that of the mix to be planned
	on    blend.Surface
	wiped bool
	piece bool // on the piece itself
}

// A sensitivity is how what is foreseen of a sight, in L*, a*, b*, changes with what is not an unknown
// of its part: with its ground band by band, and with the logarithm of the film that was laid.
type sensitivity struct {
	ground [3][spectra.Bands]float64
	film   [3]float64
}

// A whitening turns the residuals of all sights into ones that vary by 1 and not together: a
// lower triangular matrix, three rows a sight.
type whitening [][]float64

// plainWhitening takes every sight by itself: as if all of its ground showed through its coats.
func (q *problem) plainWhitening() whitening {
	white := make(whitening, q.rows)
	for i := range white {
		v := &q.all[i/3]
		variance := v.misfit*v.misfit + q.readings.off.At(3*v.reading+i%3, 3*v.reading+i%3)
		if v.under >= 0 {
			variance += q.readings.off.At(3*v.under+i%3, 3*v.under+i%3)
		}
		white[i] = make([]float64, i+1)
		white[i][i] = 1 / math.Sqrt(variance)
	}
	return white
}

// whitening is the whitening about a point.
func (q *problem) whitening(at []float64) whitening {
	if q.rows == 0 {
		return nil
	}
	cov := q.leanings(at).covariance(q)
	var factor mat.Cholesky
	if !factor.Factorize(cov) {
		return q.plainWhitening() // the readings' covariance makes no sense
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

// jacobian are those of all sights.
type jacobian []lean

// A lean is how what is foreseen of a sight changes with the error of its ground's reading, with
// each mode by which that ground's spectrum deviates, and with the hand.
type lean struct {
	ground [3][3]float64
	mode   [3][spectra.Modes]float64
	film   [3]float64
}

func (q *problem) leanings(at []float64) jacobian {
	all := make(jacobian, len(q.all))
	for i := range q.all {
		v, k := &q.all[i], q.of[i]
		if v.under < 0 {
			continue
		}
		by := q.parts[k].leaning(q.nth[i], at[q.from[k]:q.from[k]+q.parts[k].size()])
		g := &q.readings.ground[v.under]
		for c := range 3 {
			all[i].film[c] = by.film[c] * v.hand
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

// covariance is that of the residuals, all sights' together.
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

func (all jacobian) block(q *problem, i, k int) (cov [3][3]float64) {
	v, w := &q.all[i], &q.all[k]
	r := q.readings
	add := func(m *[3][3]float64, sign float64) {
		for a := range 3 {
			for b := range 3 {
				cov[a][b] += sign * m[a][b]
			}
		}
	}
	// A result is seen with its own error; a ground's error is carried through the coats, and
	// taken away, since what was seen of it is what is foreseen from.
	seen := r.spread(v.reading, w.reading)
	add(&seen, 1)
	if v.under >= 0 {
		m := r.spread(v.under, w.reading)
		m = times(&all[i].ground, &m)
		add(&m, -1)
	}
	if w.under >= 0 {
		m := r.spread(v.reading, w.under)
		m = timesTransposed(&m, &all[k].ground)
		add(&m, -1)
	}
	if v.under >= 0 && w.under >= 0 {
		m := r.spread(v.under, w.under)
		m = times(&all[i].ground, &m)
		m = timesTransposed(&m, &all[k].ground)
		add(&m, 1)
		alike := r.alike.At(v.under, w.under)
		for a := range 3 {
			for b := range 3 {
				sum := 0.0
				for j := range spectra.Modes {
					sum += all[i].mode[a][j] * all[k].mode[b][j]
				}
				cov[a][b] += alike * sum
			}
		}
	}
	if i == k {
		for a := range 3 {
			cov[a][a] += v.misfit * v.misfit
			for b := range 3 {
				cov[a][b] += all[i].film[a] * all[i].film[b]
			}
		}
	}
	return cov
}

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

// spread is the standard deviation of each sight's residual, per axis.
func (all jacobian) spread(q *problem) []float64 {
	sd := make([]float64, len(all))
	for i := range all {
		own := all.block(q, i, i)
		sd[i] = math.Sqrt((own[0][0] + own[1][1] + own[2][2]) / 3)
	}
	return sd
}
