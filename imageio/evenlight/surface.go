package evenlight

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"huewright/imageio"
	"huewright/internal/stat"
)

const (
	degree    = 4    // of the surface, in x and y together
	mostRough = 0.04 // of luminance, what a smooth surface may leave
)

// A block is a part of the photo of a blank sheet.
type block struct {
	at  imageio.Point // from −1 to 1
	log float64
}

// A surface is a polynomial of luminance's logarithm in x and y, by the coefficients of Legendre's polynomials.
type surface []float64

func (s surface) height(at imageio.Point) float64 {
	sum := 0.0
	for k, v := range terms(at) {
		sum += s[k] * v
	}
	return sum
}

// terms are the products of Legendre's polynomials at a place.
func terms(at imageio.Point) []float64 {
	legendre := func(x float64) [degree + 1]float64 {
		p := [degree + 1]float64{1, x}
		for n := 1; n < degree; n++ {
			p[n+1] = (float64(2*n+1)*x*p[n] - float64(n)*p[n-1]) / float64(n+1)
		}
		return p
	}
	x, y := legendre(at.X), legendre(at.Y)
	var products []float64
	for i := range x {
		for k := range degree + 1 - i {
			products = append(products, x[i]*y[k])
		}
	}
	return products
}

// fitSurface fits a surface by iteratively reweighted least squares, whose biweights leave out what is far off. It
// returns the standard deviation of the blocks that count from the surface, and the share of those that do not.
//
// Source of the biweights: Beaton and Tukey (1974), Technometrics 16(2), 147–185, with the
// usual 4.685 of their scale (from memory).
func fitSurface(blocks []block) (fit surface, rough, spoilt float64) {
	weights := make([]float64, len(blocks))
	for i := range weights {
		weights[i] = 1
	}
	residuals := make([]float64, len(blocks))
	for range 8 {
		fit = weightedSurface(blocks, weights)
		for i, b := range blocks {
			residuals[i] = math.Abs(b.log - fit.height(b.at))
		}
		scale := max(1.4826*stat.Quantile(residuals, 0.5), 0.001)
		for i, r := range residuals {
			t := r / (4.685 * scale)
			weights[i] = max(0, 1-t*t) * max(0, 1-t*t)
		}
		rough = scale
	}
	for _, r := range residuals {
		if r > max(4.685*rough, mostRough) {
			spoilt += 1 / float64(len(residuals))
		}
	}
	return fit, rough, spoilt
}

func weightedSurface(blocks []block, weights []float64) surface {
	n := len(terms(imageio.Point{}))
	a, b := mat.NewDense(len(blocks), n, nil), mat.NewVecDense(len(blocks), nil)
	for i, block := range blocks {
		w := math.Sqrt(weights[i])
		for k, v := range terms(block.at) {
			a.Set(i, k, w*v)
		}
		b.SetVec(i, w*block.log)
	}
	var x mat.VecDense
	if err := x.SolveVec(a, b); err != nil {
		return make(surface, n) // so much of the picture was left out that nothing holds it: rough will say so
	}
	return x.RawVector().Data
}
