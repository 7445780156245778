package jpeg

import "math"

// A weight is what a coefficient adds to the means of the fields of a block. The fields lie about the middle of the block as in a
// mirror, so that those of a quarter of it tell all: even coefficients add the same to both sides, odd ones take from one what
// they give the other.
type weight struct {
	kind uint8    // 1 for odd across, 2 for odd down
	of   [2]int64 // each two fields side by side, the second in the upper half; of four fields only the first
}

// weightBits of them are behind the point.
const weightBits = 16

// halves and quarters are the weights where a block has four and two fields each way, in zig-zag order.
var halves, quarters = newWeights(4), newWeights(2)

func newWeights(fields int) *[64]weight {
	wide := blockSide / fields
	along := func(field, u int) (mean float64) {
		for x := field * wide; x < (field+1)*wide; x++ {
			mean += math.Cos(float64(2*x+1)*float64(u)*math.Pi/16) / 2 / float64(wide)
		}
		if u == 0 {
			mean /= math.Sqrt2
		}
		return mean
	}
	w := new([64]weight)
	for k, at := range natural {
		across, down := int(at%8), int(at/8)
		w[k].kind = uint8(across&1 | down&1<<1)
		fixed := func(x, y int) int64 {
			if max(x, y) >= fields/2 {
				return 0
			}
			return int64(math.Round(along(x, across) * along(y, down) * (1 << weightBits)))
		}
		w[k].of = [2]int64{fixed(0, 0) + fixed(1, 0)<<32, fixed(0, 1) + fixed(1, 1)<<32}
	}
	return w
}

// means gathers the means of the fields of a block from its coefficients: what they would be if its samples were not rounded and
// not cut off.
type means [4][2]int64

// begin takes the first coefficient of a block, times its step.
func (m *means) begin(first int32, weights *[64]weight) {
	*m = means{{weights[0].of[0] * int64(first), weights[0].of[1] * int64(first)}}
}

// add takes another coefficient, by its place in zig-zag order.
func (m *means) add(at int, value int32, steps *[64]int32, weights *[64]weight) {
	w, v := &weights[at&63], int64(value*steps[at&63])
	sums := &m[w.kind&3]
	sums[0] += w.of[0] * v
	sums[1] += w.of[1] * v
}

// put writes the codes of 4 × 4 fields.
func (m *means) put(to []uint8, stride int) {
	for y := range 2 {
		upper, lower := to[y*stride:][:4:4], to[(3-y)*stride:][:4:4]
		for x := range 2 {
			part := func(kind int) int32 { return half(m[kind][y], x) }
			even, across, down, both := part(0), part(1), part(2), part(3)
			upper[x], upper[3-x] = fieldCode(even+across+down+both), fieldCode(even-across+down-both)
			lower[x], lower[3-x] = fieldCode(even+across-down-both), fieldCode(even-across-down+both)
		}
	}
}

// putQuarter writes the codes of 2 × 2 fields.
func (m *means) putQuarter(to []uint8, stride int) {
	even, across, down, both := half(m[0][0], 0), half(m[1][0], 0), half(m[2][0], 0), half(m[3][0], 0)
	to[0], to[1] = fieldCode(even+across+down+both), fieldCode(even-across+down-both)
	to[stride], to[stride+1] = fieldCode(even+across-down-both), fieldCode(even-across-down+both)
}

// half is the lower or the upper half of a sum of two.
func half(sum int64, which int) int32 {
	low := int32(sum)
	if which == 0 {
		return low
	}
	return int32((sum - int64(low)) >> 32)
}

func fieldCode(v int32) uint8 { return sample((v + 1<<(weightBits-1)) >> weightBits) }
