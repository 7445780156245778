package plan

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// A regression predicts figures from what a test shows, in each sample from all others: Gaussian processes, whose predictions without a
// sample need no fit without it.
//
// Source: Rasmussen, Williams (2006), Gaussian Processes for Machine Learning, MIT Press, equations 2.25 and 5.12.
type regression struct {
	inverses []*mat.SymDense // (K + λI)⁻¹ for each length scale and noise that is tried
}

// The length scales, in root mean square distances between outcomes, and variances of the noise, in those of the signal, that are tried.
// Our own choice.
var (
	regressionLengths = []float64{1, 3}
	regressionNoises  = []float64{0.1, 1, 5}
)

// regressionConstant is the prior variance of the mean over that of the signal: so wide that the mean is free.
const regressionConstant = 10

func newRegression(outcomes [][]float64) *regression {
	n, sum := len(outcomes), 0.0
	square := mat.NewSymDense(n, nil) // of the distances
	for i := range n {
		for k := range i {
			d := 0.0
			for c := range outcomes[i] {
				d += (outcomes[i][c] - outcomes[k][c]) * (outcomes[i][c] - outcomes[k][c])
			}
			square.SetSym(i, k, d)
			sum += d
		}
	}
	r := &regression{}
	whole := 2 * sum / float64(n*(n-1))
	for _, length := range regressionLengths {
		for _, noise := range regressionNoises {
			kernel := mat.NewSymDense(n, nil)
			for i := range n {
				for k := range i {
					kernel.SetSym(i, k, regressionConstant+math.Exp(-square.At(i, k)/(2*length*length*whole)))
				}
				kernel.SetSym(i, i, regressionConstant+1+noise)
			}
			var factor mat.Cholesky
			var inverse mat.SymDense
			if factor.Factorize(kernel) && factor.InverseTo(&inverse) == nil {
				r.inverses = append(r.inverses, &inverse)
			}
		}
	}
	return r
}

// least returns, by sample, the row that is predicted to be least beside that of best, from all other samples.
func (r *regression) least(rows [][]float64, best int) []int {
	n := len(rows[0])
	beside := mat.NewDense(n, len(rows), nil)
	for a := range rows {
		for i := range n {
			beside.Set(i, a, rows[a][i]-rows[best][i])
		}
	}
	least, pick := math.Inf(1), make([]int, n)
	for _, inverse := range r.inverses {
		var off mat.Dense // of the predictions without each sample
		off.Mul(inverse, beside)
		square := 0.0
		for i := range n {
			for a := range rows {
				x := off.At(i, a) / inverse.At(i, i)
				off.Set(i, a, x)
				square += x * x
			}
		}
		if square >= least {
			continue
		}
		least = square
		for i := range n {
			pick[i] = best
			for a := range rows {
				if predicted := beside.At(i, a) - off.At(i, a); predicted < beside.At(i, pick[i])-off.At(i, pick[i]) {
					pick[i] = a
				}
			}
		}
	}
	return pick
}
