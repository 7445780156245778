package bench

import (
	"gonum.org/v1/gonum/mat"

	"huewright/colour/camera"
	"huewright/colour/spectra"
)

// rgb is light as the sensor or the picture has it.
type rgb [3]float64

func (c rgb) times(m *[3]rgb) rgb {
	var out rgb
	for i, row := range m {
		out[i] = row[0]*c[0] + row[1]*c[1] + row[2]*c[2]
	}
	return out
}

// A sensor turns reflectance into the linear picture before rendering.
type sensor struct {
	sees   [spectra.Bands]rgb // a perfect white under the lamp gives 1, 1, 1
	toSRGB [3]rgb
	gain   rgb
}

// newSensor works out the matrix as the makers of cameras do: by least squares over a chart,
// with white kept white. As the sensor is no linear map of the observer, colours are left over.
func newSensor(c *Camera) *sensor {
	s := &sensor{}
	var white rgb
	for band := range s.sees {
		for k, v := range c.sensitivity(band) {
			s.sees[band][k] = c.Lamp.power[band] * v
			white[k] += s.sees[band][k]
		}
	}
	for band := range s.sees {
		for k := range white {
			s.sees[band][k] /= white[k]
		}
	}
	s.toSRGB = colourMatrix(s)
	for k := range s.gain {
		s.gain[k] = c.Exposure * c.Balance[k]
	}
	return s
}

// raw is what the sensor has of a surface in full light.
func (s *sensor) raw(r *spectra.Spectrum) rgb {
	var out rgb
	for band, v := range r {
		for k, w := range s.sees[band] {
			out[k] += w * v
		}
	}
	return out
}

// picture is the same after white balance and the maker's matrix.
func (s *sensor) picture(r *spectra.Spectrum) rgb {
	raw := s.raw(r)
	for k := range raw {
		raw[k] *= s.gain[k]
	}
	return raw.times(&s.toSRGB)
}

// colourMatrix fits rows that sum to 1: with the third term taken off both sides, two unknowns
// a row remain.
func colourMatrix(s *sensor) [3]rgb {
	chart := camera.Chart24(camera.Since2014)
	a, b := mat.NewDense(len(chart), 2, nil), mat.NewDense(len(chart), 3, nil)
	for i, patch := range chart {
		spectrum := spectra.Smoothest(patch.Lab)
		raw, want := s.raw(&spectrum), patch.Lab.LinearRGB()
		a.SetRow(i, []float64{raw[0] - raw[2], raw[1] - raw[2]})
		b.SetRow(i, []float64{want.R - raw[2], want.G - raw[2], want.B - raw[2]})
	}
	var x mat.Dense
	if err := x.Solve(a, b); err != nil {
		panic("bench: the chart does not tell the sensor's channels apart: " + err.Error())
	}
	var m [3]rgb
	for i := range m {
		m[i] = rgb{x.At(0, i), x.At(1, i), 1 - x.At(0, i) - x.At(1, i)}
	}
	return m
}
