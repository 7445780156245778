package dng

import (
	"math"

	"huewright/colour"
	"huewright/colour/sensor"
	"huewright/imageio/internal/tiffdir"
)

// readColours reads the matrices, which stand in the first directory.
func (r *Raw) readColours(main, first tiffdir.Directory) error {
	values := func(tag int) []float64 {
		if v := first.Numbers(tag); v != nil {
			return v
		}
		return main.Numbers(tag)
	}
	matrix := func(tag int) (m colour.Matrix) {
		if v := values(tag); len(v) == 9 {
			for i := range m {
				copy(m[i][:], v[3*i:])
			}
		}
		return m
	}
	p := &r.Colours
	none := colour.Matrix{}
	for i, tags := range [2][4]int{
		{tagIlluminant1, tagColourMatrix1, tagForwardMatrix1, tagCalibration1},
		{tagIlluminant2, tagColourMatrix2, tagForwardMatrix2, tagCalibration2},
	} {
		c := sensor.Calibration{Matrix: matrix(tags[1]), Forward: matrix(tags[2]), Camera: matrix(tags[3])}
		if c.Matrix == none {
			continue
		}
		if c.Kelvin = sensor.LightKelvin(first.Whole(tags[0], main.Whole(tags[0], 0))); c.Kelvin == 0 {
			if i > 0 {
				continue // in a light that is not known it tells nothing
			}
			c.Kelvin = 5000 // D50, where the first light is not known: our own choice
		}
		p.Calibrations[i] = c
	}
	if p.Calibrations[0].Kelvin == 0 {
		return &KindError{KindMatrix}
	}
	p.Balance, p.AsShot = neutralOf(values(tagAnalogBalance)), neutralOf(values(tagAsShotNeutral))
	if !p.Usable() {
		return damaged("its colour matrices are not usable")
	}
	if v := values(tagAsShotWhite); p.AsShot == (sensor.Neutral{}) && len(v) == 2 && inside(v, 1) && v[1] > 0.05 {
		if p.AsShot = p.OfWhite(v[0], v[1]); !p.Usable() {
			p.AsShot = sensor.Neutral{}
		}
	}
	return nil
}

func neutralOf(v []float64) (n sensor.Neutral) {
	if len(v) != 3 {
		return n
	}
	for _, x := range v {
		if !(x > 0) || math.IsInf(x, 0) {
			return n
		}
	}
	return sensor.Neutral(v)
}
