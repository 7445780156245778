package plan

import (
	"cmp"
	"context"
	"math"
	"slices"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/parallel"
	"huewright/internal/stat"
)

// A TestAdvice is a test coat that is worth laying, and what it is expected to tell.
type TestAdvice struct {
	Coating string
	Coats   int
	On      string  // the name of an area, or Card
	Now     float64 // width of the 80 % ranges of the counts, in coats, in the mean over the areas
	Then    float64 // what it would be after the test, in the mean over what the test may show
}

// Card is a test on black and white side by side.
const Card = "a black-and-white card"

const (
	mostTestCoats  = 2
	worthATest     = 0.3 // coats by which the ranges must narrow (our own choice)
	outcomesTried  = 24  // of a test that are tried
	leastEffective = 6.0 // that must count as possible after a test: fewer say too much
	cardBlack      = 0.03
	cardWhite      = 0.88
	mostAdvice     = 3
	narrowAlready  = 0.75 // coats: ranges no wider than that tell the count
	testNoise      = 0.7  // of a test's result beside its ground, in each of L*, a*, b*: two good readings
	widerEachRound = 1.4
)

// NextTests ranks the test coats that would narrow the counts of a plan most, the best first; none
// where no test would narrow them by 0.3 coats. Every test is imagined in worlds drawn from what is
// known: after what it shows in one of them, the others count as far as they would have shown
// the same, within what readings and the hand leave open.
func NextTests(ctx context.Context, w *learn.Samples, ask Problem, plan *Plan) ([]TestAdvice, error) {
	ask.Options.fill()
	counts := plan.bestCounts()
	if len(w.Drawn) < 2 || len(counts) == 0 {
		return nil, nil
	}
	p := newPlanner(w, &ask)
	now := meanWidth(counts, nil)
	if now <= narrowAlready {
		return nil, nil
	}
	var all []TestAdvice
	for k := range w.Best.Coatings {
		for n := 1; n <= mostTestCoats; n++ {
			for on := -1; on < len(ask.Areas); on++ {
				all = append(all, TestAdvice{Coating: w.Best.Coatings[k].Name, Coats: n, On: p.groundName(on), Now: now})
			}
		}
	}
	each := len(ask.Areas) + 1
	if err := parallel.For(ctx, len(all), func(i int) {
		k, n, on := i/(mostTestCoats*each), 1+i/each%mostTestCoats, i%each-1
		if on >= 0 && !p.layersMayLie(&ask.Areas[on], layers{{k, n}}) {
			all[i].Then = math.Inf(1) // it does not hold there
			return
		}
		all[i].Then = p.expectedWidth(counts, k, n, on)
	}); err != nil {
		return nil, err
	}
	all = slices.DeleteFunc(all, func(t TestAdvice) bool { return t.Then > now-worthATest })
	slices.SortStableFunc(all, func(a, b TestAdvice) int {
		return cmp.Or(cmp.Compare(math.Round(20*a.Then), math.Round(20*b.Then)), cmp.Compare(a.Coats, b.Coats), cmp.Compare(a.Coating, b.Coating), cmp.Compare(a.On, b.On))
	})
	return all[:min(mostAdvice, len(all))], nil
}

// bestCounts is the best counts of all that the plan puts forward, by world.
func (plan *Plan) bestCounts() (all [][]int) {
	for _, a := range plan.Areas {
		all = append(all, a.bestCounts...)
	}
	if m := plan.Meet; m != nil {
		for _, a := range m.Choices[m.Chosen].Areas {
			all = append(all, a.bestCounts...)
		}
	}
	return all
}

func (p *planner) groundName(on int) string {
	if on < 0 {
		return Card
	}
	return p.problem.Areas[on].Name
}

// outcome is what a test shows in a world: one colour, or two on a card. stronger lays all coats
// thicker by that factor.
func (p *planner) outcome(v model, k, n, on int, stronger float64) (seen []colour.Lab) {
	c := &v.sample.Coatings[k]
	lay := func(ground *spectra.Spectrum, on blend.Surface) {
		s := c.Over(ground, stronger*c.Thickness(float64(n), on, nil))
		seen = append(seen, s.Lab())
	}
	if on >= 0 {
		lay(&v.sample.Colours[p.problem.Areas[on].Mean], p.problem.Areas[on].on(k))
		return seen
	}
	for _, r := range []float64{cardBlack, cardWhite} {
		var s spectra.Spectrum
		for i := range s {
			s[i] = r
		}
		lay(&s, blend.Sealed)
	}
	return seen
}

// expectedWidth is how wide the ranges will be, in the mean over what a test may show.
func (p *planner) expectedWidth(counts [][]int, k, n, on int) float64 {
	uneven := p.best.sample.Coatings[k].PutOn.Unevenness() / math.Sqrt(float64(n))
	shown := make([][]colour.Lab, len(p.drawn))
	hand := make([][][3]float64, len(p.drawn)) // what one standard deviation of the hand changes
	for w, v := range p.drawn {
		shown[w] = p.outcome(v, k, n, on, 1)
		for i, s := range p.outcome(v, k, n, on, math.Exp(uneven)) {
			hand[w] = append(hand[w], [3]float64{s.L - shown[w][i].L, s.A - shown[w][i].A, s.B - shown[w][i].B})
		}
	}
	sum, trials := 0.0, 0
	for t := 0; t < len(p.drawn); t += max(1, len(p.drawn)/outcomesTried) {
		sum += meanWidth(counts, likelihoods(shown, hand[t], t))
		trials++
	}
	return sum / float64(trials)
}

// likelihoods weighs all worlds by how likely they would have shown what world t did: a normal
// distribution of each reading's noise, stretched along what the hand changes. Where too few
// worlds would have, all are taken to be noisier.
func likelihoods(shown [][]colour.Lab, hand [][3]float64, t int) []float64 {
	weights := make([]float64, len(shown))
	for noise := testNoise; ; noise *= widerEachRound {
		sum, squares := 0.0, 0.0
		for w := range shown {
			miss := 0.0
			along, length := 0.0, noise*noise
			for i := range shown[w] {
				d := [3]float64{shown[w][i].L - shown[t][i].L, shown[w][i].A - shown[t][i].A, shown[w][i].B - shown[t][i].B}
				for c := range d {
					miss += d[c] * d[c]
					along += d[c] * hand[i][c]
					length += hand[i][c] * hand[i][c]
				}
			}
			// (σ²I + hhᵀ)⁻¹ = (I − hhᵀ/(σ² + h·h))/σ²
			weights[w] = math.Exp(-(miss - along*along/length) / (2 * noise * noise))
			sum += weights[w]
			squares += weights[w] * weights[w]
		}
		if sum*sum/squares >= min(leastEffective, float64(len(shown))/2) {
			return weights
		}
	}
}

// meanWidth is the mean width of the 80 % ranges of counts, between the 10 and the 90 % quantile,
// where worlds count by their weights; nil counts all alike. A count stands for all between half
// below it and half above.
func meanWidth(counts [][]int, weights []float64) float64 {
	sum := 0.0
	for _, byWorld := range counts {
		share := make([]float64, slices.Max(byWorld)+1)
		whole := 0.0
		for w, c := range byWorld {
			weight := 1.0
			if weights != nil {
				weight = weights[w]
			}
			share[c] += weight
			whole += weight
		}
		sum += stat.GroupedQuantile(share, 0.9*whole) - stat.GroupedQuantile(share, 0.1*whole)
	}
	return sum / float64(len(counts))
}
