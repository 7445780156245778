package spectra

import (
	"fmt"
	"math"

	"huewright/colour"
)

// Reconstruct returns the smoothest reflectance that has the colour c in daylight D65: of all
// spectra within 0–1 that do, the one whose z, where reflectance is (1 + tanh z)/2, changes
// least from band to band in the sum of squares. Paints and woods are smooth, so it is a fair
// guess of what a surface does; it stays a guess, since many spectra share one colour.
//
// It returns a *ColourError when no surface can have the colour: when no spectrum between 0
// and 1 does, or only one at the very edge of that. Black and white themselves are beyond it,
// Y below 1e-6 or that close to 1.
//
// Source: Burns (2020), "Numerical methods for smoothest reflectance reconstruction", Color
// Res. Appl. 45(1), 8–21, where the method is called LHTSS.
func Reconstruct(c colour.XYZ) (Spectrum, error) {
	if lab := c.Lab(); !lab.IsFinite() {
		return Spectrum{}, &ColourError{Colour: lab}
	}
	s, ok := solve(c)
	if !ok {
		nearest := Smoothest(c.Lab())
		return Spectrum{}, &ColourError{Colour: c.Lab(), Nearest: nearest.Lab()}
	}
	return s.spectrum(), nil
}

// Smoothest returns the smoothest reflectance of colour c, or, when no surface can have that
// colour, of the nearest one that keeps its lightness and hue and gives up chroma; to black
// and to white it comes as near as Reconstruct goes. It panics if c is not finite: whoever
// brings a colour in checks it first.
func Smoothest(c colour.Lab) Spectrum {
	if !c.IsFinite() {
		panic("colour: SpectrumOf a colour that is not finite")
	}
	s, ok := solve(c.XYZ())
	if !ok {
		y := min(max(c.XYZ().Y, darkest), 1-darkest)
		l := colour.XYZ{Y: y}.Lab().L
		s, _ = walk(grey(y), func(t float64) colour.XYZ { return colour.Lab{L: l, A: t * c.A, B: t * c.B}.XYZ() })
	}
	return s.spectrum()
}

// A ColourError reports a colour that no surface can have.
type ColourError struct {
	Colour  colour.Lab // what was asked for
	Nearest colour.Lab // of the same hue, as near as a surface gets
}

func (e *ColourError) Error() string {
	return fmt.Sprintf("%v: no surface has this colour", e.Colour)
}

// Hint says what to do about it.
func (e *ColourError) Hint() string {
	if !e.Colour.IsFinite() {
		return "give L*, a* and b* as plain numbers"
	}
	return fmt.Sprintf("check the figures; the nearest a surface comes to it is %v", e.Nearest)
}

const (
	darkest        = 1e-6 // least Y that is solved for, and least distance of Y from 1: beyond, z runs off to ∓∞
	shortestStride = 1e-3 // of the way from grey to a colour
	mostIterations = 20
)

// solve finds the smoothest solution for c. The way there from grey is straight in XYZ, where
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

// walk goes on from s, the solution at t = 0, to the last solution it can reach on the way to
// t = 1, and says whether it got there. Nearly every paint and wood is reached in one stride;
// to the most saturated Newton's method has to be led.
func walk(s solution, way func(t float64) colour.XYZ) (_ solution, arrived bool) {
	for reached, stride := 0.0, 1.0; stride > shortestStride; {
		t := min(1, reached+stride)
		next, ok := s.newton(way(t))
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

// A solution is z at each band and the multipliers that hold it to its colour.
type solution struct {
	z      [Bands]float64
	lambda [3]float64
}

func grey(reflectance float64) solution {
	var s solution
	for i := range s.z {
		s.z[i] = math.Atanh(2*reflectance - 1)
	}
	return s
}

func (s *solution) spectrum() Spectrum {
	var r Spectrum
	for i, z := range s.z {
		r[i] = 1 / (1 + math.Exp(-2*z)) // (1 + tanh z)/2 without its loss of digits near 0
	}
	return r
}

// newton goes from s to the solution for c. It is not ok when it does not settle.
func (s solution) newton(c colour.XYZ) (solution, bool) {
	const settled, astray = 1e-6, 20 // changes of z; convergence is quadratic, so 1e-6 leaves about 1e-12
	for range mostIterations {
		step, lambda := s.newtonStep(c)
		s.lambda = lambda
		largest := 0.0
		for i, dz := range step {
			s.z[i] += dz
			largest = math.Max(largest, math.Abs(dz)) // NaN stays NaN
		}
		if largest < settled {
			return s, true
		}
		if !(largest < astray) {
			break
		}
	}
	return s, false
}
