package icc

import "huewright/imageio/internal/bigendian"

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

// readStages reads lutAToBType: curves A, grid, curves M, matrix and curves B, each of which
// may be missing but the last. Without a grid, three channels go through the rest.
//
// Source: ICC.1:2022, 10.12 and table 45.
func (t *table) readStages(body []byte) error {
	offset := func(at int) int { return int(bigendian.Uint32(body, at)) }
	b, matrix, m, clut, a := offset(12), offset(16), offset(20), offset(24), offset(28)
	if b == 0 || clut == 0 && t.inputs != 3 || clut != 0 && a == 0 {
		return errTable
	}
	if a != 0 && clut != 0 {
		if err := t.addCurves(body, a, t.inputs); err != nil {
			return err
		}
		g, err := readGrid(body, clut, t.inputs)
		if err != nil {
			return err
		}
		t.stages = append(t.stages, g.at)
	}
	if m != 0 {
		if err := t.addCurves(body, m, 3); err != nil {
			return err
		}
	}
	if matrix != 0 {
		packed := bigendian.Part(body, matrix, 48)
		if packed == nil {
			return errTable
		}
		t.stages = append(t.stages, byMatrix(packed))
	}
	return t.addCurves(body, b, 3)
}

// addCurves reads curves that follow one another, each filled up to whole words.
func (t *table) addCurves(body []byte, at, count int) error {
	curves := make([]toneCurve, count)
	for i := range curves {
		rest := bigendian.Part(body, at, len(body)-at)
		curve, size, err := parseAnyCurve(rest)
		if err != nil {
			return err
		}
		curves[i] = curve
		at += (size + 3) &^ 3
	}
	t.stages = append(t.stages, func(v Channels) Channels {
		for i, curve := range curves {
			v[i] = curve(min(max(v[i], 0), 1))
		}
		return v
	})
	return nil
}

func readGrid(body []byte, at, inputs int) (*grid, error) {
	head := bigendian.Part(body, at, 20)
	if head == nil {
		return nil, errTable
	}
	g := &grid{inputs: inputs}
	numbers := 3
	for i := range inputs {
		g.points[i] = int(head[i])
		numbers *= g.points[i]
		if g.points[i] < 2 || numbers > len(body) {
			return nil, errTable
		}
	}
	width := int(head[16])
	if width != 1 && width != 2 {
		return nil, errTable
	}
	if g.values = unpack(bigendian.Part(body, at+20, width*numbers), width); g.values == nil {
		return nil, errTable
	}
	return g, nil
}

// byMatrix is a 3×3 matrix and, behind it, what is added.
func byMatrix(packed []byte) func(Channels) Channels {
	var e [12]float64
	for i := range e {
		e[i] = fixed16(packed, 4*i)
	}
	return func(v Channels) (out Channels) {
		for row := range 3 {
			out[row] = e[3*row]*v[0] + e[3*row+1]*v[1] + e[3*row+2]*v[2] + e[9+row]
		}
		return out
	}
}
