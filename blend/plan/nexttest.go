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
	On      string  // the name of an area; "" is a black-and-white card
	Now     float64 // width of the 80 % ranges of the counts, in coats, in the mean over the areas
	Then    float64 // expected width after the test
}

const (
	cardBlack      = 0.03 // reflectances of a card, black and white side by side
	cardWhite      = 0.88
	mostTestCoats  = 2
	mostAdvice     = 3
	worthATest     = 0.3  // coats by which the ranges must narrow
	narrowAlready  = 0.75 // coats: ranges no wider than that tell the count
	outcomesTried  = 24   // of each test
	testNoise      = 0.7  // standard deviation of a test's result beside its ground in each of L*, a*, b*: two good readings
	leastEffective = 6.0  // least effective sample size after a test
	noiseStep      = 1.4  // factor on testNoise where the effective sample size is less
)

// onCard stands for the card where a test is laid on an area by its index.
const onCard = -1

// A testCoat is n coats of coating k on an area, by its index, or the card.
type testCoat struct{ k, n, on int }

// NextTests ranks the test coats that would narrow the counts of a plan most, the best first; none
// where no test would narrow them by 0.3 coats.
//
// It estimates the expected posterior width: the outcome of a test is simulated in one drawn sample after
// another, and each time all samples are weighted by the likelihood of that outcome.
func NextTests(ctx context.Context, w *learn.Samples, problem Problem, plan *Plan) ([]TestAdvice, error) {
	problem.Options.fill()
	counts := plan.bestCounts()
	if len(w.Drawn) < 2 || len(counts) == 0 {
		return nil, nil
	}
	p := newPlanner(w, &problem)
	now := meanWidth(counts, nil)
	if now <= narrowAlready {
		return nil, nil
	}
	var tests []testCoat
	for k := range p.shelf() {
		for n := 1; n <= mostTestCoats && problem.coats(k); n++ {
			for on := onCard; on < len(problem.Areas); on++ {
				if on != onCard && problem.Areas[on].PartOf != "" {
					continue
				}
				if on == onCard || p.layersMayLie(&problem.Areas[on], layers{{k, n}}) {
					tests = append(tests, testCoat{k, n, on})
				}
			}
		}
	}
	all := make([]TestAdvice, len(tests))
	if err := parallel.For(ctx, len(tests), func(i int) {
		t := tests[i]
		all[i] = TestAdvice{Coating: p.shelf()[t.k].Name, Coats: t.n, Now: now, Then: p.expectedWidth(counts, t)}
		if t.on != onCard {
			all[i].On = problem.Areas[t.on].Name
		}
	}); err != nil {
		return nil, err
	}
	all = slices.DeleteFunc(all, func(t TestAdvice) bool { return t.Then > now-worthATest })
	slices.SortStableFunc(all, func(a, b TestAdvice) int {
		return cmp.Or(cmp.Compare(math.Round(20*a.Then), math.Round(20*b.Then)), cmp.Compare(a.Coats, b.Coats),
			cmp.Compare(a.Coating, b.Coating), cmp.Compare(a.On, b.On))
	})
	return all[:min(mostAdvice, len(all))], nil
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

// outcome returns what a test shows in a sample: one colour, or two on a card. factor multiplies the film.
func (p *planner) outcome(m model, t testCoat, factor float64) (seen []colour.Lab) {
	c := &m.sample.Coatings[t.k]
	if t.on != onCard {
		c = m.coating(&p.problem.Areas[t.on], t.k, false)
	}
	lay := func(ground *spectra.Spectrum, on blend.Surface) {
		wet := c.Wetted(ground, on)
		s := c.Over(&wet, factor*c.Thickness(float64(t.n), on, nil))
		seen = append(seen, s.Lab())
	}
	if t.on != onCard {
		a := &p.problem.Areas[t.on]
		lay(&m.sample.Colours[a.Mean], a.on(t.k))
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

// expectedWidth returns how wide the ranges will be, in the mean over what a test may show.
func (p *planner) expectedWidth(counts [][]int, t testCoat) float64 {
	variability := p.shelf()[t.k].PutOn.Variability() / math.Sqrt(float64(t.n))
	shown := make([][]colour.Lab, len(p.drawn))
	sensitivity := make([][][3]float64, len(p.drawn)) // to one standard deviation of the application variability
	for i, m := range p.drawn {
		shown[i] = p.outcome(m, t, 1)
		for k, s := range p.outcome(m, t, math.Exp(variability)) {
			sensitivity[i] = append(sensitivity[i], labDifference(s, shown[i][k]))
		}
	}
	sum, tried := 0.0, 0
	for i := 0; i < len(p.drawn); i += max(1, len(p.drawn)/outcomesTried) {
		sum += meanWidth(counts, likelihoods(shown, sensitivity[i], i))
		tried++
	}
	return sum / float64(tried)
}

// likelihoods returns that of every sample, up to a factor, given what sample at shows: normal in each reading, with
// the noise of a test and the application variability. Where the effective sample size is too small, the noise is
// widened.
func likelihoods(shown [][]colour.Lab, sensitivity [][3]float64, at int) []float64 {
	weights := make([]float64, len(shown))
	for noise := testNoise; ; noise *= noiseStep {
		sum, squares := 0.0, 0.0
		for i := range shown {
			miss := 0.0
			along, length := 0.0, noise*noise
			for k := range shown[i] {
				d := labDifference(shown[i][k], shown[at][k])
				for c := range d {
					miss += d[c] * d[c]
					along += d[c] * sensitivity[k][c]
					length += sensitivity[k][c] * sensitivity[k][c]
				}
			}
			// (σ²I + hhᵀ)⁻¹ = (I − hhᵀ/(σ² + h·h))/σ²
			weights[i] = math.Exp(-(miss - along*along/length) / (2 * noise * noise))
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
