package spectra

import "huewright/colour"

// Smoothest returns the smoothest reflectance that has the colour c in daylight D65: of all spectra within 0–1 that
// have it, the one whose z, where reflectance is (1 + tanh z)/2, changes least from band to band in the sum of squares.
// Paints and woods are smooth, so it is a fair estimate of what a surface does; it stays an estimate, since
// many spectra share one colour.
//
// Where no surface can have the colour, or only one at the very edge of what can be, it is the nearest that keeps
// lightness and hue and gives up chroma. Y below 1e-6, or that close to 1, counts as beyond the edge. It panics if c is
// not finite: whoever brings a colour in checks it first.
//
// Source: Burns (2020), "Numerical methods for smoothest reflectance reconstruction", Color
// Res. Appl. 45(1), 8–21, where the method is called LHTSS.
func Smoothest(c colour.Lab) Spectrum {
	if !c.IsFinite() {
		panic("spectra: the smoothest spectrum of a colour that is not finite")
	}
	s, ok := solve(c.XYZ())
	if !ok {
		y := min(max(c.XYZ().Y, darkest), 1-darkest)
		l := colour.XYZ{Y: y}.Lab().L
		s, _ = walk(grey(y), func(t float64) colour.XYZ { return colour.Lab{L: l, A: t * c.A, B: t * c.B}.XYZ() })
	}
	var r Spectrum
	for i, z := range s.z {
		r[i] = reflectance(z)
	}
	return r
}

const (
	darkest        = 1e-6 // least Y that is solved for, and least distance of Y from 1: beyond, z runs off to ∓∞
	shortestStride = 1e-3 // of the way from grey to a colour
)

// solve finds the smoothest solution for c. The path there from grey is straight in XYZ, where
// the colours that surfaces can have form a convex body: it never leaves it.
func solve(c colour.XYZ) (s solution, ok bool) {
	if !(c.Y >= darkest && c.Y <= 1-darkest) {
		return s, false
	}
	return walk(grey(c.Y), func(t float64) colour.XYZ {
		dull := (1 - t) * c.Y
		return colour.XYZ{X: t*c.X + dull*colour.WhiteD65.X, Y: c.Y, Z: t*c.Z + dull*colour.WhiteD65.Z}
	})
}

// walk continues from s, the solution at t = 0, to the last solution it can reach on the path to
// t = 1, and says whether it got there. Nearly every paint and wood is reached in one stride;
// to the most saturated colours Newton's method needs several.
func walk(s solution, path func(t float64) colour.XYZ) (_ solution, arrived bool) {
	for reached, stride := 0.0, 1.0; stride > shortestStride; {
		t := min(1, reached+stride)
		next, ok := s.newton(path(t))
		if !ok {
			stride /= 2
			continue
		}
		if s = next; t == 1 {
			return s, true
		}
		reached, stride = t, 2*stride
	}
	return s, false
}
