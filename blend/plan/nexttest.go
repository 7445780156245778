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
	Strip   float64 // after a strip of 1, 2 and 3 coats instead; 0 where so many are of no use
	Boards  float64 // after the same test on two boards
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

// A testCoat is n coats of coating k on an area, by its index, or the card: on one board or on several, or as the last step of a strip
// that begins with one coat.
type testCoat struct {
	k, n, on int
	boards   int // 0 means 1
	strip    bool
}

// mostHands is how many coats or boards of one test may come out each in its own way.
const mostHands = 3

// steps returns the coats of each reading of a test, and how its film depends on standard deviations of the application variability.
func (t *testCoat) steps() (coats []int, hands [][mostHands]float64) {
	if t.strip {
		for n := 1; n <= t.n; n++ {
			var hand [mostHands]float64
			for i := range n {
				hand[i] = 1 / float64(n) // a strip's steps share their first coats
			}
			coats, hands = append(coats, n), append(hands, hand)
		}
		return coats, hands
	}
	for board := range max(1, t.boards) {
		var hand [mostHands]float64
		hand[board] = 1 / math.Sqrt(float64(t.n))
		coats, hands = append(coats, t.n), append(hands, hand)
	}
	return coats, hands
}

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
					tests = append(tests, testCoat{k: k, n: n, on: on})
				}
			}
		}
	}
	type advised struct {
		TestAdvice
		testCoat
	}
	all := make([]advised, len(tests))
	if err := parallel.For(ctx, len(tests), func(i int) {
		t := tests[i]
		all[i] = advised{TestAdvice{Coating: p.shelf()[t.k].Name, Coats: t.n, Now: now, Then: p.expectedWidth(counts, t)}, t}
		if t.on != onCard {
			all[i].On = problem.Areas[t.on].Name
		}
	}); err != nil {
		return nil, err
	}
	all = slices.DeleteFunc(all, func(t advised) bool { return t.Then > now-worthATest })
	slices.SortStableFunc(all, func(a, b advised) int {
		return cmp.Or(cmp.Compare(math.Round(20*a.Then), math.Round(20*b.Then)), cmp.Compare(a.Coats, b.Coats),
			cmp.Compare(a.Coating, b.Coating), cmp.Compare(a.On, b.On))
	})
	all = all[:min(mostAdvice, len(all))]
	best := make([]TestAdvice, len(all))
	return best, parallel.For(ctx, len(all), func(i int) {
		t := all[i].testCoat
		best[i] = all[i].TestAdvice
		if most := p.shelf()[t.k].Kind.MostCoats(); most == 0 || most >= mostHands {
			best[i].Strip = p.expectedWidth(counts, testCoat{k: t.k, n: mostHands, on: t.on, strip: true})
		}
		best[i].Boards = p.expectedWidth(counts, testCoat{k: t.k, n: t.n, on: t.on, boards: 2})
	})
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

// outcome returns what coats of a test show in a sample: one colour, or two on a card. factor multiplies the film.
func (p *planner) outcome(m model, t testCoat, coats int, factor float64) (seen []colour.Lab) {
	c := &m.sample.Coatings[t.k]
	if t.on != onCard {
		c = m.coating(&p.problem.Areas[t.on], t.k, false)
	}
	lay := func(ground *spectra.Spectrum, on blend.Surface) {
		wet := c.Wetted(ground, on)
		s := c.Over(&wet, factor*c.Thickness(float64(coats), on, nil))
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
	variability := p.shelf()[t.k].PutOn.Variability()
	shown := make([][]colour.Lab, len(p.drawn))
	sensitivity := make([][]handSlopes, len(p.drawn))
	coats, hands := t.steps()
	for i, m := range p.drawn {
		for step, n := range coats {
			even, thicker := p.outcome(m, t, n, 1), p.outcome(m, t, n, math.Exp(variability))
			for k := range even {
				sensitivity[i] = append(sensitivity[i], slopesOf(labDifference(thicker[k], even[k]), hands[step]))
			}
			shown[i] = append(shown[i], even...)
		}
	}
	sum, tried := 0.0, 0
	for i := 0; i < len(p.drawn); i += max(1, len(p.drawn)/outcomesTried) {
		sum += meanWidth(counts, likelihoods(shown, sensitivity[i], i))
		tried++
	}
	return sum / float64(tried)
}

// handSlopes are the changes of L*, a*, b* of a reading by one standard deviation of each hand.
type handSlopes [3][mostHands]float64

func slopesOf(byFilm [3]float64, hand [mostHands]float64) (s handSlopes) {
	for c := range byFilm {
		for h := range hand {
			s[c][h] = byFilm[c] * hand[h]
		}
	}
	return s
}

// likelihoods returns that of every sample, up to a factor, given what sample at shows: normal in each reading, with
// the noise of a test and the application variability. Where the effective sample size is too small, the noise is
// widened.
func likelihoods(shown [][]colour.Lab, sensitivity []handSlopes, at int) []float64 {
	weights := make([]float64, len(shown))
	for noise := testNoise; ; noise *= noiseStep {
		// (σ²I + HHᵀ)⁻¹ = (I − H(σ²I + HᵀH)⁻¹Hᵀ)/σ²
		var inner [mostHands][mostHands]float64
		for a := range mostHands {
			inner[a][a] = noise * noise
			for b := range mostHands {
				for k := range sensitivity {
					for c := range sensitivity[k] {
						inner[a][b] += sensitivity[k][c][a] * sensitivity[k][c][b]
					}
				}
			}
		}
		inverse, _ := stat.Inverse3(&inner)
		sum, squares := 0.0, 0.0
		for i := range shown {
			miss, along := 0.0, [mostHands]float64{}
			for k := range shown[i] {
				d := labDifference(shown[i][k], shown[at][k])
				for c := range d {
					miss += d[c] * d[c]
					for h := range along {
						along[h] += d[c] * sensitivity[k][c][h]
					}
				}
			}
			for a := range along {
				for b := range along {
					miss -= along[a] * inverse[a][b] * along[b]
				}
			}
			weights[i] = math.Exp(-miss / (2 * noise * noise))
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
