package region

import (
	"math"
)

// A mixture is the colours of some cells: a few clusters of features, each normal.
type mixture []component

type component struct {
	mean     [features]float64
	per      [features]float64 // one over the standard deviation
	logScale float64           // of the density: ln of its share and of per
}

func newComponent(share float64, mean, sd [features]float64) component {
	k := component{mean: mean, logScale: math.Log(share)}
	for f := range features {
		k.per[f] = 1 / sd[f]
		k.logScale -= math.Log(sd[f])
	}
	return k
}

// leastSD keeps a cluster from being narrower than what light and grain do to one wood.
var leastSD = [features]float64{redGreen: 0.03, blueGreen: 0.045, lightness: 0.15, contrast: 0.25}

const mixtureRounds = 6

// fit is a mixture of n clusters of cells, weighted by their size: expectation and maximisation from the cells farthest from one
// another.
func (c *Cells) fit(members []int, n int) mixture {
	if len(members) == 0 {
		return nil
	}
	n = min(n, len(members))
	m := make(mixture, n)
	for k, i := range c.spreadOut(members, n) {
		m[k] = newComponent(1/float64(n), c.cells[i].mean, apartSD)
	}
	belongs := make([]float64, n)
	for range mixtureRounds {
		sums := make([]struct {
			weight    float64
			sum, sum2 [features]float64
		}, n)
		all := 0.0
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
				w := float64(x.size) * belongs[k] / total
				sums[k].weight += w
				all += w
				for f, v := range x.mean {
					sums[k].sum[f] += w * v
					sums[k].sum2[f] += w * v * v
				}
			}
		}
		for k := range m {
			s := &sums[k]
			if s.weight < 1e-9 {
				m[k].logScale = math.Inf(-1) // nothing is left of it
				continue
			}
			var mean, sd [features]float64
			for f := range features {
				mean[f] = s.sum[f] / s.weight
				sd[f] = max(leastSD[f], math.Sqrt(max(0, s.sum2[f]/s.weight-mean[f]*mean[f])))
			}
			m[k] = newComponent(s.weight/all, mean, sd)
		}
	}
	return m
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

func (k *component) density(x *cell) float64 {
	log := k.logScale
	for f, v := range x.mean {
		d := (v - k.mean[f]) * k.per[f]
		log -= d * d / 2
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
