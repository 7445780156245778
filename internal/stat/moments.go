package stat

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Moments are count, sums and summed products of triples of numbers, such as places or colours. The
// zero value has none. Where it is asked what is usual, the triples are taken to be normally
// distributed.
type Moments struct {
	// From is what the numbers are counted from: near them, where they are far from 0 and many,
	// so that their products stay small beside what is to be told of them. It is set before the first
	// is added.
	Origin [3]float64
	// Floor is added to each variance, so that few triples, or alike ones, do not tell of a spread
	// that is next to none.
	Floor float64

	n        float64
	sum      [3]float64
	products [3][3]float64 // upper triangle
}

// Add adds a triple.
func (m *Moments) Add(v [3]float64) {
	a, b, c := v[0]-m.Origin[0], v[1]-m.Origin[1], v[2]-m.Origin[2]
	m.n++
	m.sum[0] += a
	m.sum[1] += b
	m.sum[2] += c
	m.products[0][0] += a * a
	m.products[0][1] += a * b
	m.products[0][2] += a * c
	m.products[1][1] += b * b
	m.products[1][2] += b * c
	m.products[2][2] += c * c
}

// Merge adds all that was added to o, whose Origin may differ. Afterwards the Origin of m is its mean.
//
// Source: Chan, Golub, LeVeque (1983), Algorithms for computing the sample variance, The American
// Statistician 37(3), 242–247.
func (m *Moments) Merge(o *Moments) {
	if o.n == 0 {
		return
	}
	if m.n == 0 {
		floor := m.Floor
		*m = *o
		m.Floor = floor
		return
	}
	n, mean, theirs := m.n+o.n, m.mean(), o.mean()
	products, added := m.central(), o.central()
	var d [3]float64
	for i := range d {
		d[i] = theirs[i] - mean[i]
		mean[i] += d[i] * o.n / n
	}
	for i := range 3 {
		for k := i; k < 3; k++ {
			products[i][k] += added[i][k] + d[i]*d[k]*m.n*o.n/n
		}
	}
	*m = Moments{Origin: mean, Floor: m.Floor, n: n, products: products}
}

// mean is the mean of the triples. It is NaN without any.
func (m *Moments) mean() (mean [3]float64) {
	for i := range mean {
		mean[i] = m.Origin[i] + m.sum[i]/m.n
	}
	return mean
}

// central are the products of deviations from the mean, upper triangle.
func (m *Moments) central() [3][3]float64 {
	products := m.products
	for i := range 3 {
		for k := i; k < 3; k++ {
			products[i][k] -= m.n * (m.sum[i] / m.n) * (m.sum[k] / m.n)
		}
	}
	return products
}

// Covariance is the covariance of the triples, divided by their number, with Floor added to each
// variance. It is NaN without any.
func (m *Moments) Covariance() (cov [3][3]float64) {
	products := m.central()
	for i := range 3 {
		for k := i; k < 3; k++ {
			cov[i][k] = products[i][k] / m.n
			cov[k][i] = cov[i][k]
		}
		cov[i][i] += m.Floor
	}
	return cov
}

// Distance is Mahalanobis's: how far v is from the mean, in the spread of the triples along its
// direction. A number that was From in all of them does not count. It is 0 of fewer than two.
//
// Source: Mahalanobis (1936), On the generalised distance in statistics, Proc. Nat. Inst. Sci. India
// 2(1), 49–55.
func (m *Moments) Distance(v [3]float64) float64 {
	if m.n < 2 {
		return 0
	}
	cov, mean := m.Covariance(), m.mean()
	off := mat.NewVecDense(3, nil)
	for i := range v {
		off.SetVec(i, v[i]-mean[i])
		if m.products[i][i] == 0 {
			cov[i][i] = 1
			off.SetVec(i, 0)
		}
	}
	var factor mat.Cholesky
	if !factor.Factorize(symmetric(&cov)) {
		return math.NaN() // not finite, or without a Floor flat
	}
	var weighed mat.VecDense
	_ = factor.SolveVecTo(&weighed, off) // badly conditioned, yet solved
	return math.Sqrt(mat.Dot(off, &weighed))
}

// ResidualOutside is the residual of v outside the ellipsoid of the given Mahalanobis radius about the mean: the least
// that must be subtracted so that its Distance is radius; 0 inside. It needs a Floor, or triples that vary in all
// directions.
//
// With the covariance's axes eᵢ and variances λᵢ, the nearest point within radius is
// wᵢ = dᵢ λᵢ/(λᵢ + μ) with the μ ≥ 0 that brings Σ wᵢ²/λᵢ to radius².
func (m *Moments) ResidualOutside(v [3]float64, radius float64) (out [3]float64) {
	if m.n < 2 || m.Distance(v) <= radius {
		return out
	}
	cov, mean := m.Covariance(), m.mean()
	d := [3]float64{v[0] - mean[0], v[1] - mean[1], v[2] - mean[2]}
	var eigen mat.EigenSym
	if !eigen.Factorize(symmetric(&cov), true) {
		return d
	}
	var axes mat.Dense
	eigen.VectorsTo(&axes)
	along, variance := [3]float64{}, [3]float64{}
	for e := range along {
		variance[e] = max(eigen.Values(nil)[e], 1e-9)
		for i := range d {
			along[e] += axes.At(i, e) * d[i]
		}
	}
	within := func(mu float64) (sum float64) {
		for e := range along {
			w := along[e] * variance[e] / (variance[e] + mu)
			sum += w * w / variance[e]
		}
		return sum
	}
	low, high := 0.0, 1.0
	for within(high) > radius*radius {
		high *= 2
	}
	for range 60 {
		if mid := (low + high) / 2; within(mid) > radius*radius {
			low = mid
		} else {
			high = mid
		}
	}
	for e := range along {
		beyond := along[e] * high / (variance[e] + high)
		for i := range out {
			out[i] += axes.At(i, e) * beyond
		}
	}
	return out
}

// LogDensity is the logarithm of the normal density at v, up to a constant that is the same for all moments.
func (m *Moments) LogDensity(v [3]float64) float64 {
	cov, mean := m.Covariance(), m.mean()
	inverse, det := Inverse3(&cov)
	square := 0.0
	for i := range v {
		for k := range v {
			square += (v[i] - mean[i]) * inverse[i][k] * (v[k] - mean[k])
		}
	}
	return -square/2 - math.Log(det)/2
}

func symmetric(m *[3][3]float64) *mat.SymDense {
	s := mat.NewSymDense(3, nil)
	for i := range m {
		for k := i; k < 3; k++ {
			s.SetSym(i, k, m[i][k])
		}
	}
	return s
}
