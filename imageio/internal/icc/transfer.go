package icc

import (
	"math"
	"sync"

	"huewright/colour"
)

// Transfer turns codes into light: a curve for each channel, then, unless the primaries are
// those of sRGB already, a matrix. Or, in place of both, something that knows better.
type Transfer struct {
	Curves [3][]float32 // 1<<bits entries each; equal curves share one table
	Matrix *colour.Matrix
	Better func(Channels) colour.LinearRGB // of codes between 0 and 1; nil for curves and matrix
	top    float64                         // the highest code, where better is given
}

func (t *Transfer) Linear(r, g, b uint16) colour.LinearRGB {
	if t.Better != nil {
		return t.Better(Channels{float64(r) / t.top, float64(g) / t.top, float64(b) / t.top})
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
	return t.Better == nil && t.Matrix == nil && &t.Curves[0][0] == &SRGBTable8()[0]
}

var (
	SRGBTable8  = sync.OnceValue(func() []float32 { return tabulate(DecodeSRGB, 8) })
	srgbTable16 = sync.OnceValue(func() []float32 { return tabulate(DecodeSRGB, 16) })
)

func NewTransfer(p *profile, bits int) *Transfer {
	if p.table != nil {
		return &Transfer{Better: p.table.linear, top: float64(int(1)<<bits - 1)}
	}
	t := &Transfer{Matrix: p.toSRGB}
	for i, curve := range p.curves {
		t.Curves[i] = tabulate(curve, bits)
	}
	return t
}

// tabulate evaluates a curve at every code.
func tabulate(curve func(float64) float64, bits int) []float32 {
	table := make([]float32, 1<<bits)
	top := float64(len(table) - 1)
	for i := range table {
		table[i] = float32(curve(float64(i) / top))
	}
	return table
}

// DecodeSRGB removes the transfer curve of IEC 61966-2-1 from v in 0–1.
func DecodeSRGB(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}
