package icc

import (
	"errors"
	"math"

	"huewright/colour"
)

// table is a profile that works by a table: stages that lead from codes to the connection
// space, and what the numbers mean there.
type table struct {
	inputs int
	stages []func(Channels) Channels
	light  func(Channels) colour.XYZ // under D50, relative to the white of the medium
}

var errTable = errors.New("has a damaged table")

// linear gives the light of codes between 0 and 1.
func (t *table) linear(v Channels) colour.LinearRGB {
	for _, stage := range t.stages {
		v = stage(v)
	}
	c := fromD50().Apply(t.light(v))
	return colour.LinearRGB{R: c.X, G: c.Y, B: c.Z}
}

// tableInputs is the number of channels of the colour spaces we read.
var tableInputs = map[string]int{"GRAY": 1, "RGB ": 3, "CMYK": 4}

// check goes through the corners of the table: a profile for pictures makes more light of one
// end than of another, and a number everywhere.
func (t *table) check() error {
	darkest, lightest := math.Inf(1), math.Inf(-1)
	for corner := range 1 << t.inputs {
		var v Channels
		for i := range t.inputs {
			v[i] = float64(corner >> i & 1)
		}
		c := t.linear(v)
		if sum := c.R + c.G + c.B; math.IsNaN(sum) || math.IsInf(sum, 0) {
			return errTable
		}
		y := c.XYZ().Y
		darkest, lightest = min(darkest, y), max(lightest, y)
	}
	if lightest-darkest < 0.05 {
		return errTable
	}
	return nil
}

// The three ways in which numbers between 0 and 1 stand for a colour. Source: ICC.1:2022, 6.3.4
// and 10.10, which keeps the 16-bit Lab of version 2 for lut16Type.
func lightOfXYZ(v Channels) colour.XYZ {
	const top = 65535.0 / 32768
	return colour.XYZ{X: v[0] * top, Y: v[1] * top, Z: v[2] * top}
}

func lightOfLab(v Channels) colour.XYZ {
	return colour.Lab{L: 100 * v[0], A: 255*v[1] - 128, B: 255*v[2] - 128}.XYZUnder(colour.WhiteD50)
}

func lightOfOldLab(v Channels) colour.XYZ {
	const stretch = 65535.0 / 65280
	return lightOfLab(Channels{v[0] * stretch, v[1] * stretch, v[2] * stretch})
}
