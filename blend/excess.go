package blend

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"huewright/colour"
)

// usual is the share of patches that differ from their surroundings less than what is still usual.
const usual = 0.95

// excess is what of v is beyond the usual: the least that must be taken from it so that it lies within
// radius, by Mahalanobis, of what was added. A patch may be as much lighter than its ring as wood
// often is, and only a little redder, as it never is: then the redness is the excess.
//
// With the covariance's axes eᵢ and variances λᵢ, the nearest point within radius is
// wᵢ = dᵢ λᵢ/(λᵢ + μ) with the μ ≥ 0 that brings Σ wᵢ²/λᵢ to radius².
func (m *moments) excess(v [3]float64, radius float64) (out [3]float64) {
	if m.n < 2 || m.distance(v) <= radius {
		return out
	}
	cov := mat.NewSymDense(3, nil)
	var d [3]float64
	for i := range v {
		d[i] = v[i] - m.sum[i]/m.n
		for k := i; k < 3; k++ {
			cov.SetSym(i, k, m.sq[i][k]/m.n-m.sum[i]*m.sum[k]/m.n/m.n)
		}
		cov.SetSym(i, i, cov.At(i, i)+1e-6)
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(cov, true) {
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

// beyondUsual is the excess of the repair in one aspect.
func (l *RepairLook) beyondUsual(aspect string) [3]float64 {
	all := make([]float64, len(l.Patches))
	var others moments
	for i := range l.Patches {
		others.add(aspectOf(&l.Patches[i], aspect))
	}
	for i := range l.Patches {
		all[i] = others.distance(aspectOf(&l.Patches[i], aspect))
	}
	return others.excess(aspectOf(&l.Repair, aspect), quantile(all, usual))
}

// colourBeyond is the ΔE00 of an excess of colour from that of the ring.
func colourBeyond(ring colour.Lab, by [3]float64) float64 {
	return colour.DeltaE2000(ring, colour.Lab{L: ring.L + by[0], A: ring.A + by[1], B: ring.B + by[2]})
}

// spreadBeyond is the L* by which the spread is beyond the usual: its aspect is a logarithm of ratios.
func (l *RepairLook) spreadBeyond() float64 {
	by := l.beyondUsual(AspectSpread)[0]
	if by == 0 {
		return 0
	}
	is := l.Repair.Patch.Spread + spreadFloor
	return is - is/math.Exp(by)
}
