package bench

import (
	"gonum.org/v1/gonum/mat"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio"
)

// fitMatrix is the usual correction, to have something to be better than: 3×3 from linear
// light to XYZ by least squares relative to lightness, one patch left out if skip is not −1.
func fitMatrix(patches []camera.Sample, skip int) func(colour.LinearRGB) colour.XYZ {
	a, b := mat.NewDense(len(patches), 3, nil), mat.NewDense(len(patches), 3, nil)
	for i, p := range patches {
		if i != skip && p.Skip.Empty() {
			want := p.Want.XYZ()
			w := 1 / (0.1 + want.Y)
			a.SetRow(i, []float64{w * p.Camera.R, w * p.Camera.G, w * p.Camera.B})
			b.SetRow(i, []float64{w * want.X, w * want.Y, w * want.Z})
		}
	}
	var m mat.Dense
	if err := m.Solve(a, b); err != nil {
		panic(err)
	}
	return func(c colour.LinearRGB) colour.XYZ {
		row := func(k int) float64 { return c.R*m.At(0, k) + c.G*m.At(1, k) + c.B*m.At(2, k) }
		return colour.XYZ{X: row(0), Y: row(1), Z: row(2)}
	}
}

// meanLight is the plain mean over an outline, nothing left out.
func meanLight(p *imageio.Photo, o imageio.Outline) colour.LinearRGB {
	outline := make(shape, len(o.Points))
	for i, c := range o.Points {
		outline[i] = spot{c.X, c.Y}
	}
	var sum colour.LinearRGB
	n := 0.0
	b := outline.box()
	for y := int(b.y0); y < int(b.y1); y++ {
		for x := int(b.x0); x < int(b.x1); x++ {
			if outline.contains(float64(x)+0.5, float64(y)+0.5) {
				c := p.Linear(x, y)
				sum.R, sum.G, sum.B, n = sum.R+c.R, sum.G+c.G, sum.B+c.B, n+1
			}
		}
	}
	return colour.LinearRGB{R: sum.R / n, G: sum.G / n, B: sum.B / n}
}
