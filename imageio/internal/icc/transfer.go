package icc

import "huewright/colour"

// A Transfer turns codes into light: a curve for each channel, then, unless the primaries are
// those of sRGB already, a matrix. Or, in place of both, a conversion of the whole colour.
type Transfer struct {
	Curves  [3][]float32 // 1<<bits entries each; equal curves share one table
	Matrix  *colour.Matrix
	Convert func(Channels) colour.LinearRGB // of codes between 0 and 1; nil for curves and matrix
	top     float64                         // the highest code, where Convert is given
}

// Linear returns the light that codes mean, with the primaries of sRGB. It must not be asked of LabTransfer.
func (t *Transfer) Linear(r, g, b uint16) colour.LinearRGB {
	if t.Convert != nil {
		return t.Convert(Channels{float64(r) / t.top, float64(g) / t.top, float64(b) / t.top})
	}
	x, y, z := float64(t.Curves[0][r]), float64(t.Curves[1][g]), float64(t.Curves[2][b])
	if m := t.Matrix; m != nil {
		x, y, z = m[0][0]*x+m[0][1]*y+m[0][2]*z,
			m[1][0]*x+m[1][1]*y+m[1][2]*z,
			m[2][0]*x+m[2][1]*y+m[2][2]*z
	}
	return colour.LinearRGB{R: x, G: y, B: z}
}

// SRGBTransfer is what a picture without a profile gets.
func SRGBTransfer(bits int) *Transfer {
	table := SRGBTable8()
	if bits == 16 {
		table = srgbTable16()
	}
	return &Transfer{Curves: [3][]float32{table, table, table}}
}

// IsSRGB8 reports whether codes of 8 bits mean sRGB itself.
func (t *Transfer) IsSRGB8() bool {
	return t.Convert == nil && t.Matrix == nil && &t.Curves[0][0] == &SRGBTable8()[0]
}

// Transfer is what the profile makes of codes of 8 or 16 bits.
func (p *Profile) Transfer(bits int) *Transfer {
	if p.table != nil {
		return &Transfer{Convert: p.table.linear, top: float64(int(1)<<bits - 1)}
	}
	t := &Transfer{Matrix: p.toSRGB}
	for i, curve := range p.curves {
		t.Curves[i] = tabulate(curve, bits)
	}
	return t
}

// LabTransfer is for pictures in L*a*b*, by Convert alone, whose numbers are L*/100, (a*+128)/255 and (b*+128)/255.
var LabTransfer = &Transfer{Convert: (&table{light: lightOfLab}).linear}
