package plan

import (
	"math"
	"slices"

	"huewright/colour"
	"huewright/internal/stat"
)

// Tests of one coat or two were once ranked by how narrow they make the ranges of the counts: the rival of the ranking by what is gained.

const (
	outcomesTried  = 24  // of each test
	leastEffective = 6.0 // least effective sample size after a test
	noiseStep      = 1.4 // factor on testNoise where the effective sample size is less
)

// byWidth is the test coat that narrows the ranges of the counts most; nil where no sample lays a coat.
func byWidth(plan *Plan, tests []test) (best *test) {
	counts, least := plan.bestCounts(), math.Inf(1)
	for i := range tests {
		if tests[i].way != TestCoats {
			continue
		}
		if w := plan.by.expectedWidth(counts, &tests[i]); w < least {
			best, least = &tests[i], w
		}
	}
	return best
}

// bestCounts returns the best counts of all that the plan suggests, by drawn sample.
func (plan *Plan) bestCounts() (all [][]int) {
	for _, a := range plan.Choices[0].Areas {
		if a.PartOf != "" {
			continue // its counts are those of its wood
		}
		all = append(all, a.bestCounts...)
	}
	return all
}

// expectedWidth returns how wide the ranges will be, in the mean over what a test may show.
func (p *planner) expectedWidth(counts [][]int, t *test) float64 {
	shown := make([][]colour.Lab, len(p.drawn))
	sensitivity := make([][][3]float64, len(p.drawn)) // of each reading to a standard deviation of the application variability
	thicker := slices.Repeat([]float64{math.Exp(p.shelf()[t.k].PutOn.Variability() / math.Sqrt(float64(t.n)))}, t.n)
	for i, m := range p.drawn {
		shown[i] = p.testCoats(m, t, t.n, nil)
		for k, seen := range p.testCoats(m, t, t.n, thicker) {
			sensitivity[i] = append(sensitivity[i], labDifference(seen, shown[i][k]))
		}
	}
	sum, tried := 0.0, 0
	for i := 0; i < len(p.drawn); i += max(1, len(p.drawn)/outcomesTried) {
		sum += meanWidth(counts, likelihoods(shown, sensitivity[i], i))
		tried++
	}
	return sum / float64(tried)
}

// likelihoods returns that of every sample, up to a factor, given what sample at shows: normal in each reading, with the noise of a test
// and the application variability. Where the effective sample size is too small, the noise is widened.
func likelihoods(shown [][]colour.Lab, sensitivity [][3]float64, at int) []float64 {
	weights := make([]float64, len(shown))
	for noise := testNoise; ; noise *= noiseStep {
		inner := noise * noise // (σ²I + hhᵀ)⁻¹ = (I − hhᵀ/(σ² + hᵀh))/σ²
		for _, h := range sensitivity {
			inner += h[0]*h[0] + h[1]*h[1] + h[2]*h[2]
		}
		sum, squares := 0.0, 0.0
		for i := range shown {
			miss, along := 0.0, 0.0
			for k := range shown[i] {
				for c, d := range labDifference(shown[i][k], shown[at][k]) {
					miss += d * d
					along += d * sensitivity[k][c]
				}
			}
			weights[i] = math.Exp(-(miss - along*along/inner) / (2 * noise * noise))
			sum += weights[i]
			squares += weights[i] * weights[i]
		}
		if sum*sum/squares >= min(leastEffective, float64(len(shown))/2) {
			return weights
		}
	}
}

// meanWidth returns the mean width of the 80 % ranges of counts, between the 10 and the 90 % quantile; weights
// are the samples', nil for all alike. A count stands for all between half below it and half above.
func meanWidth(counts [][]int, weights []float64) float64 {
	sum := 0.0
	for _, bySample := range counts {
		share := make([]float64, slices.Max(bySample)+1)
		whole := 0.0
		for i, c := range bySample {
			weight := 1.0
			if weights != nil {
				weight = weights[i]
			}
			share[c] += weight
			whole += weight
		}
		sum += stat.GroupedQuantile(share, 0.9*whole) - stat.GroupedQuantile(share, 0.1*whole)
	}
	return sum / float64(len(counts))
}
