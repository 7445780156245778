package icc

import (
	"math"
	"sync"
)

// DecodeSRGB removes the transfer curve of IEC 61966-2-1 from v in 0–1.
func DecodeSRGB(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// The curve of sRGB at every code of 8 and of 16 bits, as light 0–1.
var (
	SRGBTable8  = sync.OnceValue(func() []float32 { return tabulate(DecodeSRGB, 8) })
	srgbTable16 = sync.OnceValue(func() []float32 { return tabulate(DecodeSRGB, 16) })
)

// tabulate evaluates a curve at every code.
func tabulate(curve func(float64) float64, bits int) []float32 {
	table := make([]float32, 1<<bits)
	top := float64(len(table) - 1)
	for i := range table {
		table[i] = float32(curve(float64(i) / top))
	}
	return table
}
