package colour

import "math"

// Summarise tells of the light from many places of one surface what a Reading tells: mean,
// spread, covariance, quantiles of L*, ground and figure, and how many places there were.
// Everything else in the result is zero. The same light gives the same result on any number
// of processors. It panics on no light.
func Summarise(light []XYZ) Reading {
	if len(light) == 0 {
		panic("colour: summary of no light")
	}
	lightness := make([]float64, len(light))
	moments := summariseParts(light, lightness)
	r := Reading{
		Mean:       MeanLight(light).Lab(),
		Covariance: moments.covariance(),
		Pixels:     len(light),
	}
	for i := range r.Spread {
		r.Spread[i] = math.Sqrt(r.Covariance[i][i])
	}
	copy(r.LQuantiles[:], Quantiles(lightness, 0.05, 0.25, 0.5, 0.75, 0.95))
	darkest, lightest := r.LQuantiles[1], r.LQuantiles[3]
	r.Figure = meanWhere(light, lightness, func(l float64) bool { return l <= darkest }, r.Mean)
	r.Ground = meanWhere(light, lightness, func(l float64) bool { return l >= lightest }, r.Mean)
	return r
}

// MeanLight is the average an instrument's aperture takes. It is black for no light.
func MeanLight(light []XYZ) XYZ {
	var sum XYZ
	for _, c := range light {
		sum = XYZ{sum.X + c.X, sum.Y + c.Y, sum.Z + c.Z}
	}
	n := float64(max(len(light), 1))
	return XYZ{sum.X / n, sum.Y / n, sum.Z / n}
}

// meanWhere averages the light of the places whose lightness passes, or returns otherwise
// when a rounding lets none pass.
func meanWhere(light []XYZ, lightness []float64, passes func(float64) bool, otherwise Lab) Lab {
	var sum XYZ
	n := 0.0
	for i, l := range lightness {
		if passes(l) {
			sum = XYZ{sum.X + light[i].X, sum.Y + light[i].Y, sum.Z + light[i].Z}
			n++
		}
	}
	if n == 0 {
		return otherwise
	}
	return XYZ{sum.X / n, sum.Y / n, sum.Z / n}.Lab()
}

// labMoments is count, mean and summed products of deviations of L*, a*, b*.
type labMoments struct {
	n        float64
	mean     [3]float64
	products [3][3]float64
}

// labSums gathers sums of L*, a*, b* and of their products, counted from a colour near them so that
// the products stay small beside what is to be told of them.
type labSums struct {
	from       Lab
	n, l, a, b float64
	ll, la, lb float64
	aa, ab, bb float64
}

func (s *labSums) add(c Lab) {
	l, a, b := c.L-s.from.L, c.A-s.from.A, c.B-s.from.B
	s.n++
	s.l, s.a, s.b = s.l+l, s.a+a, s.b+b
	s.ll, s.la, s.lb = s.ll+l*l, s.la+l*a, s.lb+l*b
	s.aa, s.ab, s.bb = s.aa+a*a, s.ab+a*b, s.bb+b*b
}

func (s *labSums) moments() labMoments {
	m := labMoments{n: s.n, mean: [3]float64{s.l / s.n, s.a / s.n, s.b / s.n}}
	m.products = [3][3]float64{{s.ll, s.la, s.lb}, {s.la, s.aa, s.ab}, {s.lb, s.ab, s.bb}}
	for i := range 3 {
		for j := range 3 {
			m.products[i][j] -= s.n * m.mean[i] * m.mean[j]
		}
	}
	for i, v := range [3]float64{s.from.L, s.from.A, s.from.B} {
		m.mean[i] += v
	}
	return m
}

// merge joins the moments of two sets.
//
// Source: Chan, Golub, LeVeque (1983), The American Statistician 37(3), 242–247.
func (m *labMoments) merge(o labMoments) {
	n := m.n + o.n
	var d [3]float64
	for i := range 3 {
		d[i] = o.mean[i] - m.mean[i]
		m.mean[i] += d[i] * o.n / n
	}
	for i := range 3 {
		for j := range 3 {
			m.products[i][j] += o.products[i][j] + d[i]*d[j]*m.n*o.n/n
		}
	}
	m.n = n
}

func (m *labMoments) covariance() (c [3][3]float64) {
	for i := range 3 {
		for j := range 3 {
			c[i][j] = m.products[i][j] / m.n
		}
	}
	return c
}

// summariseParts fills in the lightness of each place and gathers the moments, in parts of a
// fixed size that are joined in order, so that the result does not depend on who was first.
func summariseParts(light []XYZ, lightness []float64) labMoments {
	const size = 1 << 13
	parts := make([]labMoments, (len(light)+size-1)/size)
	inParts(len(light), size, func(from, to int) {
		sums := labSums{from: light[from].Lab()}
		for i := from; i < to; i++ {
			lab := light[i].Lab()
			lightness[i] = lab.L
			sums.add(lab)
		}
		parts[from/size] = sums.moments()
	})
	whole := parts[0]
	for _, part := range parts[1:] {
		whole.merge(part)
	}
	return whole
}
