package icc

import "huewright/imageio/internal/bigendian"

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
