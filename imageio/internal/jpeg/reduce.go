package jpeg

import "math"

// reduced says what each coefficient adds to the means of the fields of a block, of which there are 1<<log each way.
type reduced [64][16]int32

// reducedBits of them are behind the point.
const reducedBits = 16

var halves, quarters = newReduced(2), newReduced(1)

func newReduced(log int) *reduced {
	n := 1 << log
	wide := blockSide / n
	along := func(field, u int) (mean float64) {
		for x := field * wide; x < (field+1)*wide; x++ {
			mean += math.Cos(float64(2*x+1)*float64(u)*math.Pi/16) / 2 / float64(wide)
		}
		if u == 0 {
			mean /= math.Sqrt2
		}
		return mean
	}
	r := new(reduced)
	for k := range r {
		for at := range n * n {
			r[k][at] = int32(math.Round(along(at%n, k%8) * along(at/n, k/8) * (1 << reducedBits)))
		}
	}
	return r
}

// reduce gives the means of the fields of a block, what the mean of their samples would be if these were not rounded and not
// cut off.
func (b *block) reduce(log int, to []uint8, stride int) {
	n := 1 << log
	if log == 1 {
		var sums [4]int32
		for i := range sums {
			sums[i] = b.of[0]<<(reducedBits-3) + 1<<(reducedBits-1)
		}
		for _, at := range b.which[:b.n] {
			v, adds := b.of[at&63], &quarters[at&63]
			sums[0] += v * adds[0]
			sums[1] += v * adds[1]
			sums[2] += v * adds[2]
			sums[3] += v * adds[3]
		}
		to[0], to[1] = sample(sums[0]>>reducedBits), sample(sums[1]>>reducedBits)
		to[stride], to[stride+1] = sample(sums[2]>>reducedBits), sample(sums[3]>>reducedBits)
		return
	}
	var sums [16]int32
	for i := range sums {
		sums[i] = b.of[0]<<(reducedBits-3) + 1<<(reducedBits-1)
	}
	for _, at := range b.which[:b.n] {
		v, adds := b.of[at&63], &halves[at&63]
		for i := range sums {
			sums[i] += v * adds[i]
		}
	}
	for y := range n {
		line := to[y*stride:][:n:n]
		for x := range line {
			line[x] = sample(sums[y*n+x] >> reducedBits)
		}
	}
}
