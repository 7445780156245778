package region

import (
	"math"
)

// A mixture is the colours of some cells: a few clusters of features, each normal.
type mixture []component

type (
	vector [features]float64
	matrix [features][features]float64
)

type component struct {
	mean     vector
	whiten   matrix  // takes a difference from the mean to one of covariance 1: the inverse of its Cholesky factor, the lower half
	logScale float64 // of the density: ln of its share and of the determinant of whiten
}

func newComponent(share float64, mean vector, covariance matrix) component {
	k := component{mean: mean, logScale: math.Log(share)}
	var low matrix
	for i := range features {
		for j := range i + 1 {
			left := covariance[i][j]
			for m := range j {
				left -= low[i][m] * low[j][m]
			}
			if j < i {
				low[i][j] = left / low[j][j]
			} else {
				low[i][i] = math.Sqrt(left)
			}
		}
		k.logScale -= math.Log(low[i][i])
		k.whiten[i][i] = 1 / low[i][i]
		for j := range i {
			for m := j; m < i; m++ {
				k.whiten[i][j] -= low[i][m] * k.whiten[m][j] / low[i][i]
			}
		}
	}
	return k
}

// leastSD keeps a cluster from being narrower than what light and grain do to one wood.
var leastSD = vector{redGreen: 0.03, blueGreen: 0.045, lightness: 0.15, contrast: 0.25}

// shaded is the covariance of features with such standard deviations that go with lightness as shade has them.
func shaded(sd vector) (cov matrix) {
	with := inShade
	with[lightness] = 1
	for f := range features {
		for g := range features {
			cov[f][g] = with[f] * with[g] * sd[lightness] * sd[lightness]
		}
		if f != lightness {
			cov[f][f] += sd[f] * sd[f]
		}
	}
	return cov
}

const (
	mixtureRounds = 6
	priorCells    = 1.0 // as which the covariance of a cluster counts that it has before any cell
)

// fit is a mixture of n clusters of cells, weighted by their size: expectation and maximisation from the cells farthest from one
// another.
func (c *Cells) fit(members []int, n int) mixture {
	if len(members) == 0 {
		return nil
	}
	n = min(n, len(members))
	m := make(mixture, n)
	for k, i := range c.spreadOut(members, n) {
		m[k] = newComponent(1/float64(n), c.cells[i].mean, shaded(apartSD))
	}
	belongs, usual := make([]float64, n), c.usual()
	for range mixtureRounds {
		sums, all := make([]moments, n), 0.0
		for _, i := range members {
			x := &c.cells[i]
			total := 0.0
			for k := range m {
				belongs[k] = m[k].density(x)
				total += belongs[k]
			}
			if total == 0 {
				continue
			}
			for k := range m {
				w := float64(x.size) / usual * belongs[k] / total
				sums[k].add(w, &x.mean)
				all += w
			}
		}
		for k := range m {
			if sums[k].weight < 1e-9 {
				m[k].logScale = math.Inf(-1) // nothing is left of it
				continue
			}
			mean, covariance := sums[k].normal()
			m[k] = newComponent(sums[k].weight/all, mean, covariance)
		}
	}
	return m
}

// moments are weighted sums over cells, in usual cells, of features and of their products, the lower half.
type moments struct {
	weight float64
	sum    vector
	sum2   matrix
}

func (s *moments) add(w float64, x *vector) {
	if w < 1e-6 {
		return
	}
	s.weight += w
	for f, v := range x {
		s.sum[f] += w * v
		for g := range f + 1 {
			s.sum2[f][g] += w * v * x[g]
		}
	}
}

// normal are the mean and the covariance, the lower half.
func (s *moments) normal() (mean vector, cov matrix) {
	least := shaded(leastSD)
	for f := range features {
		mean[f] = s.sum[f] / s.weight
		for g := range f + 1 {
			cov[f][g] = (s.sum2[f][g] - s.weight*mean[f]*mean[g] + priorCells*least[f][g]) / (s.weight + priorCells)
		}
		cov[f][f] = max(cov[f][f], leastSD[f]*leastSD[f])
	}
	return mean, cov
}

// spreadOut picks n of some cells: the largest, then each time the one farthest from those that are picked.
func (c *Cells) spreadOut(members []int, n int) (picked []int) {
	first := members[0]
	for _, i := range members {
		if c.cells[i].size > c.cells[first].size {
			first = i
		}
	}
	picked = []int{first}
	off := make([]float64, len(members))
	for k, i := range members {
		off[k] = c.apart(i, first)
	}
	for len(picked) < n {
		far := 0
		for k := range members {
			if off[k] > off[far] {
				far = k
			}
		}
		picked = append(picked, members[far])
		for k, i := range members {
			off[k] = min(off[k], c.apart(i, members[far]))
		}
	}
	return picked
}

// leastLog is the logarithm under which a density is taken for none.
const leastLog = -30

func (k *component) density(x *cell) float64 {
	var off vector
	log := k.logScale
	for f := range features {
		off[f] = x.mean[f] - k.mean[f]
		sd := 0.0
		for g := range f + 1 {
			sd += k.whiten[f][g] * off[g]
		}
		if log -= sd * sd / 2; log < leastLog {
			return 0
		}
	}
	return math.Exp(log)
}

// likelihood is the logarithm of a cell's density under a mixture.
func (m mixture) likelihood(x *cell) float64 {
	sum := 0.0
	for k := range m {
		sum += m[k].density(x)
	}
	return math.Log(sum + 1e-12)
}
