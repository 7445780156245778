package imageio

import (
	"math"
	"sync"

	"huewright/colour"
)

// transfer turns codes into light: a curve for each channel, then, unless the primaries are
// those of sRGB already, a matrix. Or, in place of both, something that knows better.
type transfer struct {
	curves [3][]float32 // 1<<bits entries each; equal curves share one table
	matrix *colour.Matrix
	better func(channels) colour.LinearRGB // of codes between 0 and 1; nil for curves and matrix
	top    float64                         // the highest code, where better is given
}

func (t *transfer) linear(r, g, b uint16) colour.LinearRGB {
	if t.better != nil {
		return t.better(channels{float64(r) / t.top, float64(g) / t.top, float64(b) / t.top})
	}
	x, y, z := float64(t.curves[0][r]), float64(t.curves[1][g]), float64(t.curves[2][b])
	if m := t.matrix; m != nil {
		x, y, z = m[0][0]*x+m[0][1]*y+m[0][2]*z,
			m[1][0]*x+m[1][1]*y+m[1][2]*z,
			m[2][0]*x+m[2][1]*y+m[2][2]*z
	}
	return colour.LinearRGB{R: x, G: y, B: z}
}

// srgbTransfer is what a picture without a profile gets.
func srgbTransfer(bits int) *transfer {
	table := srgbTable8()
	if bits == 16 {
		table = srgbTable16()
	}
	return &transfer{curves: [3][]float32{table, table, table}}
}

// isSRGB8 reports whether codes of 8 bits mean sRGB itself.
func (t *transfer) isSRGB8() bool {
	return t.better == nil && t.matrix == nil && &t.curves[0][0] == &srgbTable8()[0]
}

var (
	srgbTable8  = sync.OnceValue(func() []float32 { return tabulate(decodeSRGB, 8) })
	srgbTable16 = sync.OnceValue(func() []float32 { return tabulate(decodeSRGB, 16) })
)

func newTransfer(p *profile, bits int) *transfer {
	if p.table != nil {
		return &transfer{better: p.table.linear, top: float64(int(1)<<bits - 1)}
	}
	t := &transfer{matrix: p.toSRGB}
	for i, curve := range p.curves {
		t.curves[i] = tabulate(curve, bits)
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

// decodeSRGB removes the transfer curve of IEC 61966-2-1 from v in 0–1.
func decodeSRGB(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}
