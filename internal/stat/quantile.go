package stat

import (
	"math"
	"slices"
)

// quantileBins is how finely Quantiles divides the range of many values: to a fiftieth of a unit of a scale from 0 to 100.
const quantileBins = 1 << 12

// Quantile is [Quantiles] for one share.
func Quantile(values []float64, share float64) float64 { return Quantiles(values, share)[0] }

// Quantiles returns the values below which the given shares of values lie, shares within 0–1.
// They are interpolated between order statistics, of which the lowest stands at 0 and the highest at 1. Up to 4096
// values are sorted. More are grouped, which takes a tenth of the time and is exact to one part in 4096 of their
// range; such values must be finite. It panics on no values, and does not change them.
//
// Source: definition 7 of Hyndman and Fan (1996), Sample quantiles in statistical packages, The
// American Statistician 50(4), 361–365.
func Quantiles(values []float64, shares ...float64) []float64 {
	if len(values) == 0 {
		panic("stat: quantiles of no values")
	}
	if len(values) <= quantileBins {
		sorted := slices.Clone(values)
		slices.Sort(sorted)
		return sortedQuantiles(sorted, shares)
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
	var counts [quantileBins + 1]float64
	width := (high - low) / quantileBins
	if width == 0 || math.IsInf(1/width, 0) {
		return slices.Repeat([]float64{low}, len(shares))
	}
	for _, v := range values {
		counts[int((v-low)/width)]++
	}
	out := make([]float64, len(shares))
	for i, share := range shares {
		out[i] = min(low+width*GroupedQuantile(counts[:], share*float64(len(values))), high)
	}
	return out
}

// GroupedQuantile is the quantile of grouped data: the place at which the cumulated counts reach at, class i spread
// evenly from i to i+1. Counts may be any weights that are not negative; where their sum is less than at it is
// their number.
func GroupedQuantile(counts []float64, at float64) float64 {
	sum := 0.0
	for i, n := range counts {
		if n > 0 && sum+n >= at {
			return float64(i) + (at-sum)/n
		}
		sum += n
	}
	return float64(len(counts))
}

// MidRank is the share of sorted values below v, with those that equal it counted half.
func MidRank(sorted []float64, v float64) float64 {
	low, _ := slices.BinarySearch(sorted, v)
	high := low
	for high < len(sorted) && sorted[high] == v {
		high++
	}
	return (float64(low) + float64(high)) / 2 / float64(len(sorted))
}
