package chart_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"huewright/colour"
	"huewright/colour/camera"
)

// A baseline is a simpler camera model, fitted by least squares in XYZ.
type baseline struct {
	name  string
	curve bool // straightens the light by the chart's greys first
	roots bool // adds √rg, √gb, √rb to r, g, b
}

var baselines = []baseline{
	{name: "3×3"},
	{name: "curve, 3×3", curve: true},
	{name: "curve, root-polynomial", curve: true, roots: true},
}

// leaveOneOut predicts each sample from the others: ΔE00, in their order.
func (b baseline) leaveOneOut(t *testing.T, samples []camera.Sample) []float64 {
	t.Helper()
	errors := make([]float64, len(samples))
	for i, s := range samples {
		others := slices.Delete(slices.Clone(samples), i, i+1)
		straight := func(v float64) float64 { return v }
		if b.curve {
			straight = greyCurve(others)
		}
		var in, out []float64
		for _, o := range others {
			want := o.Want.XYZ()
			in = append(in, b.terms(o.Camera, straight)...)
			out = append(out, want.X, want.Y, want.Z)
		}
		var m, got mat.Dense
		require.NoError(t, m.Solve(mat.NewDense(len(others), len(in)/len(others), in), mat.NewDense(len(others), 3, out)))
		terms := b.terms(s.Camera, straight)
		got.Mul(mat.NewDense(1, len(terms), terms), &m)
		errors[i] = colour.DeltaE2000(s.Want, colour.XYZ{X: got.At(0, 0), Y: got.At(0, 1), Z: got.At(0, 2)}.Lab())
	}
	return errors
}

func (b baseline) terms(c colour.LinearRGB, straight func(float64) float64) []float64 {
	r, g, bl := straight(c.R), straight(c.G), straight(c.B)
	if !b.roots {
		return []float64{r, g, bl}
	}
	return []float64{r, g, bl, math.Sqrt(r * g), math.Sqrt(g * bl), math.Sqrt(r * bl)}
}

// greyCurve takes recorded light to reflectance by the greys among the samples, straight
// between them in logarithms and beyond them.
func greyCurve(samples []camera.Sample) func(float64) float64 {
	var greys [][2]float64
	for _, s := range samples {
		if math.Hypot(s.Want.A, s.Want.B) < 5 {
			greys = append(greys, [2]float64{math.Log((s.Camera.R + s.Camera.G + s.Camera.B) / 3), math.Log(s.Want.XYZ().Y)})
		}
	}
	slices.SortFunc(greys, func(a, b [2]float64) int { return int(math.Copysign(1, a[0]-b[0])) })
	return func(v float64) float64 {
		x, i := math.Log(max(v, 1e-5)), 1
		for i < len(greys)-1 && x > greys[i][0] {
			i++
		}
		low, high := greys[i-1], greys[i]
		return math.Exp(low[1] + (x-low[0])*(high[1]-low[1])/(high[0]-low[0]))
	}
}
