package colour

import (
	"math"
	"slices"
)

// quantileBins is how finely Quantiles divides the range of many values: to a fiftieth of a
// unit of L* for a picture from black to white.
const quantileBins = 1 << 12

// Quantiles returns the values below which the given shares of values lie, shares within
// 0–1. Up to quantileBins values are sorted; of more the answer is exact to one part in
// quantileBins of their range, and takes a tenth of the time. It panics on no values, and
// does not change them. Values must be finite.
func Quantiles(values []float64, shares ...float64) []float64 {
	if len(values) == 0 {
		panic("colour: quantiles of no values")
	}
	if len(values) <= quantileBins {
		return sortedQuantiles(slices.Sorted(slices.Values(values)), shares)
	}
	return binnedQuantiles(values, shares)
}

// sortedQuantiles interpolates between the order statistics at share·(n−1).
func sortedQuantiles(sorted, shares []float64) []float64 {
	out := make([]float64, len(shares))
	for i, share := range shares {
		at := share * float64(len(sorted)-1)
		low := int(at)
		high := min(low+1, len(sorted)-1)
		out[i] = sorted[low] + (at-float64(low))*(sorted[high]-sorted[low])
	}
	return out
}

func binnedQuantiles(values, shares []float64) []float64 {
	low, high := values[0], values[0]
	for _, v := range values {
		low, high = min(low, v), max(high, v)
	}
	var bins [quantileBins + 1]int
	width := (high - low) / quantileBins
	if width == 0 || math.IsInf(1/width, 0) {
		return slices.Repeat([]float64{low}, len(shares))
	}
	for _, v := range values {
		bins[int((v-low)/width)]++
	}
	out := make([]float64, len(shares))
	for i, share := range shares {
		want, below := share*float64(len(values)), 0.0
		for bin, n := range bins {
			if below+float64(n) >= want && n > 0 {
				out[i] = min(low+width*(float64(bin)+(want-below)/float64(n)), high)
				break
			}
			below += float64(n)
		}
	}
	return out
}
