package plan

import "huewright/internal/stat"

// pairDifferences is how far every two areas are apart under these courses, the first with the second, the
// first and the second with the third, and so on.
func (m *searchSpace) pairDifferences(at []int) (apart []float64) {
	for i := range at {
		for k := range i {
			apart = append(apart, m.deltaE(i, at[i], k, at[k]))
		}
	}
	return apart
}

// pairsOf names every two areas with how far apart they are before and after, in the order of
// everyTwo; drawn is after, by world.
func pairsOf(areas []*Area, before, after []float64, drawn [][]float64) (pairs []MeetPair) {
	for i := range areas {
		for k := range i {
			n := len(pairs)
			all := make([]float64, len(drawn))
			for w := range drawn {
				all[w] = drawn[w][n]
			}
			pairs = append(pairs, MeetPair{
				Areas:  [2]string{areas[k].Name, areas[i].Name},
				Before: before[n],
				After:  Spread{after[n], stat.Quantile(all, 0.1), stat.Quantile(all, 0.9)},
			})
		}
	}
	return pairs
}
