package plan

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"
	"slices"

	"huewright/blend"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/parallel"
)

// A TestWay is a kind of test.
type TestWay string

// What may be tested.
const (
	TestCoats TestWay = "coats" // so many coats on an area or a card
	TestStrip TestWay = "strip" // one coat, two and so on, side by side on an area or a card
	TestChip  TestWay = "chip"  // the coating so thick that nothing shows through
	TestPhoto TestWay = "photo" // the piece and its targets photographed again, with a reference
)

// A TestAdvice is a test that is worth making, and what it is expected to give.
type TestAdvice struct {
	Way     TestWay
	Coating string  // "" for a photo
	Coats   int     // of test coats; of a strip the most; 0 for others
	On      string  // the name of an area; "" is a black-and-white card, or nothing in particular
	Now     float64 // the largest difference at the end, ΔE00: the mean over the samples of that under the suggested plan
	Then    float64 // and of that under the plans that would be made after the test
	Gain    float64 // by how much what is minimised falls, ΔE00, price of the coats and all: what tests are ranked by, with their own price
}

// Figures of tests. Our own choice.
const (
	cardBlack     = 0.03 // reflectances of a card, black and white side by side
	cardWhite     = 0.88
	mostTestCoats = 2
	mostStrip     = 3 // steps of a strip
	mostAdvice    = 3
	worthATest    = 0.1 // ΔE00 of gain that a test must bring beyond its price
	priceOfATest  = 0.1 // ΔE00 that a test must gain for each coat of it that has to dry; a chip and a photo count as one coat
	testNoise     = 0.7 // standard deviation of a test's result beside its ground in each of L*, a*, b*: two good readings
	chipNoise     = 1.0 // and of an opaque chip: a good reading, and how far a chip is from what coats come to; see learn.Dataset.Draw
	photoNoise    = 0.5 // and of a good reading
	mostTried     = 48  // plans that are considered after a test
)

// onCard stands for the card where a test is laid on an area by its index.
const onCard = -1

// A test is one that could be made: of coating k, on an area by its index or on the card.
type test struct {
	way TestWay
	k   int
	n   int // coats; of a strip the most
	on  int
}

// NextTests ranks the tests that would bring the end of a plan nearest, the best first; none where no test gains what it costs.
//
// It estimates the expected value of sample information. The outcome of a test is drawn in every sample. What each of the plans that may
// be made then comes to, beside the one that is best without the test, is regressed on the outcomes; in every sample the plan is taken
// that the regression, made without that sample, says is best, and its true value there counts.
//
// Source: Strong, Oakley, Brennan, Breeze (2015), Estimating the expected value of sample information using the probabilistic
// sensitivity analysis sample, Med. Decis. Making 35(5), 570–583; cited from memory.
func NextTests(ctx context.Context, plan *Plan) ([]TestAdvice, error) {
	_, all, err := plan.by.rankTests(ctx, plan.first)
	all = all[:min(mostAdvice, len(all))]
	return slices.DeleteFunc(all, func(t TestAdvice) bool { return !(t.net() >= worthATest) }), err
}

// rankTests returns all tests that could be made, the best first, and what is said of them.
func (p *planner) rankTests(ctx context.Context, suggested *candidate) ([]test, []TestAdvice, error) {
	if len(p.drawn) < 2 || len(p.problem.Layers) > 0 && layerOrder(p.problem.Layers).planned() == 0 {
		return nil, nil, nil
	}
	v, err := p.endsOf(ctx, suggested)
	if err != nil {
		return nil, nil, err
	}
	tests := p.tests()
	all := make([]TestAdvice, len(tests))
	if err := parallel.For(ctx, len(tests), func(i int) {
		t := tests[i]
		all[i] = TestAdvice{Way: t.way, Coats: t.n, Now: v.now}
		if t.way != TestPhoto {
			all[i].Coating = p.shelf()[t.k].Name
		}
		if t.on != onCard {
			all[i].On = p.problem.Areas[t.on].Name
		}
		all[i].Gain, all[i].Then = v.after(p.outcomes(&t))
	}); err != nil {
		return nil, nil, err
	}
	order := make([]int, len(tests))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, k int) int { return cmp.Compare(all[k].net(), all[i].net()) })
	return ordered(tests, order), ordered(all, order), nil
}

func ordered[T any](of []T, order []int) (all []T) {
	for _, i := range order {
		all = append(all, of[i])
	}
	return all
}

// net is what a test gains beyond its price.
func (t *TestAdvice) net() float64 { return t.Gain - priceOfATest*float64(max(1, t.Coats)) }

// tests are those that can be made.
func (p *planner) tests() (all []test) {
	for k := range p.shelf() {
		if !p.laysCoating(k) {
			continue
		}
		c := &p.shelf()[k]
		for on := onCard; on < len(p.problem.Areas); on++ {
			if on != onCard && (p.problem.Areas[on].PartOf != "" || !p.layersMayLie(&p.problem.Areas[on], layers{{k, 1}})) {
				continue
			}
			most := c.Kind.MostCoats()
			for n := 1; n <= mostTestCoats && (most == 0 || n <= most); n++ {
				all = append(all, test{TestCoats, k, n, on})
			}
			if most == 0 || most >= mostStrip {
				all = append(all, test{TestStrip, k, mostStrip, on})
			}
		}
		if hides := c.Kind != "dye" && c.Kind != "stain"; hides && (k >= len(p.reports) || !p.reports[k].HasChip()) {
			all = append(all, test{way: TestChip, k: k, on: onCard})
		}
	}
	return append(all, test{way: TestPhoto, on: onCard})
}

// laysCoating reports whether coats of coating k are planned or given.
func (p *planner) laysCoating(k int) bool {
	if given := p.problem.Layers; len(given) > 0 {
		return slices.ContainsFunc(given, func(l ScheduledLayer) bool { return l.Coating == k })
	}
	return p.problem.coats(k)
}

// outcomes are what a test would be measured as, by drawn sample: L*, a*, b* of each of its readings over their noise.
func (p *planner) outcomes(t *test) [][]float64 {
	all := make([][]float64, len(p.drawn))
	for i, m := range p.drawn {
		rng := rand.New(rand.NewPCG(m.sample.Seed, 0x7e57)) // the same deviates for every test
		shown, noise := p.reads(m, t, rng)
		for _, c := range shown {
			for _, x := range []float64{c.L, c.A, c.B} {
				all[i] = append(all[i], x/noise+rng.NormFloat64())
			}
		}
	}
	return all
}

// reads returns what a test shows in a sample, and the standard deviation of its readings; rng draws how thick its coats come out.
func (p *planner) reads(m model, t *test, rng *rand.Rand) (seen []colour.Lab, noise float64) {
	switch t.way {
	case TestPhoto:
		for i := range p.problem.Areas {
			a := &p.problem.Areas[i]
			seen = append(seen, m.sample.Colours[a.Mean].Lab())
			if a.Target != None {
				seen = append(seen, m.sample.Colours[a.Target].Lab())
			}
		}
		return seen, photoNoise
	case TestChip:
		limit := m.sample.Coatings[t.k].Limit()
		return []colour.Lab{limit.Lab()}, chipNoise
	}
	factors := make([]float64, t.n)
	for i := range factors {
		factors[i] = math.Exp(p.shelf()[t.k].PutOn.Variability() * rng.NormFloat64())
	}
	from := t.n
	if t.way == TestStrip {
		from = 1
	}
	for n := from; n <= t.n; n++ {
		seen = append(seen, p.testCoats(m, t, n, factors)...)
	}
	return seen, testNoise
}

// testCoats returns what n coats of a test show in a sample: one colour, or two on a card.
func (p *planner) testCoats(m model, t *test, n int, factors []float64) (seen []colour.Lab) {
	lay := func(c *blend.Coating, ground *spectra.Spectrum, on blend.Surface) {
		wet := c.Wetted(ground, on)
		s := c.Over(&wet, c.Thickness(float64(n), on, factors))
		seen = append(seen, s.Lab())
	}
	if t.on != onCard {
		a := &p.problem.Areas[t.on]
		lay(m.coating(a, t.k, false), &m.sample.Colours[a.Mean], a.on(t.k))
		return seen
	}
	for _, r := range []float64{cardBlack, cardWhite} {
		var s spectra.Spectrum
		for i := range s {
			s[i] = r
		}
		lay(&m.sample.Coatings[t.k], &s, blend.Sealed)
	}
	return seen
}
