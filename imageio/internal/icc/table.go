package icc

import (
	"errors"
	"math"

	"huewright/colour"
	"huewright/imageio/internal/bigendian"
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

// parseTable reads the tag of a profile that leads to the connection space by a table.
//
// Source: ICC.1:2022, 10.10 (lut16Type), 10.11 (lut8Type), 10.12 (lutAToBType).
func parseTable(body []byte, space, connection string) (*table, error) {
	if len(body) < 32 || int(body[8]) != tableInputs[space] || body[9] != 3 {
		return nil, errTable
	}
	t := &table{inputs: tableInputs[space]}
	kind := string(body[:4])
	switch {
	case connection == "XYZ ":
		t.light = lightOfXYZ
	case connection == "Lab " && kind == "mft2":
		t.light = lightOfOldLab
	case connection == "Lab ":
		t.light = lightOfLab
	default:
		return nil, errTable
	}
	var err error
	switch kind {
	case "mft1":
		err = t.readUniform(body, 48, 256, 256, 1)
	case "mft2":
		err = t.readUniform(body, 52, int(bigendian.Uint16(body, 48)), int(bigendian.Uint16(body, 50)), 2)
	case "mAB ":
		err = t.readStages(body)
	default:
		err = errTable
	}
	if err != nil {
		return nil, err
	}
	return t, t.check()
}

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

// readUniform reads lut8Type and lut16Type: curves by points, a grid with as many points in
// every direction, curves by points. Their matrix is for codes that are XYZ, which no picture's
// are.
func (t *table) readUniform(body []byte, at, before, after, width int) error {
	points := int(body[10])
	crossings := 1
	for range t.inputs {
		crossings *= points
	}
	if before < 2 || after < 2 || before > 4096 || after > 4096 || points < 2 {
		return errTable
	}
	values := unpack(bigendian.Part(body, at, width*(t.inputs*before+3*crossings+3*after)), width)
	if values == nil {
		return errTable
	}
	g := &grid{inputs: t.inputs, points: [4]int{points, points, points, points}}
	input, rest := values[:t.inputs*before], values[t.inputs*before:]
	g.values = rest[:3*crossings]
	output := rest[3*crossings:]
	t.stages = append(t.stages, byPoints(input, t.inputs), g.at, byPoints(output, 3))
	return nil
}

// unpack turns 8- or 16-bit numbers into 0–1.
func unpack(packed []byte, width int) []float32 {
	if packed == nil {
		return nil
	}
	values := make([]float32, len(packed)/width)
	for i := range values {
		if width == 1 {
			values[i] = float32(packed[i]) / 255
		} else {
			values[i] = float32(bigendian.Uint16(packed, 2*i)) / 65535
		}
	}
	return values
}

// byPoints is a stage of curves, each given by as many points as the others.
func byPoints(values []float32, curves int) func(Channels) Channels {
	count := len(values) / curves
	return func(v Channels) Channels {
		for i := range curves {
			own := values[i*count : (i+1)*count]
			at := min(max(v[i], 0), 1) * float64(count-1)
			lower := min(int(at), count-2)
			v[i] = float64(own[lower]) + (at-float64(lower))*float64(own[lower+1]-own[lower])
		}
		return v
	}
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
