package plan

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/figure"
)

// A testedPiece is woods, truly, two washes of which little is known, and what was read of them.
type testedPiece struct {
	*makingBench
	washes  []*blend.Coating
	woods   []spectra.Spectrum
	target  *spectra.Spectrum // nil where the woods are to meet
	dataset learn.Dataset
	problem Problem
	off     [3]float64             // that a photo without a reference shows everything by
	hands   []map[[2]int][]float64 // films after each coat, by area and coating, as each of some hands would lay them
}

// handsLaid is how many hands lay each plan of a piece.
const handsLaid = 4

// tested draws a piece: what is known of each wash is its chip or one coat on a pale wood, or both, read off a photo that every third time
// has no reference.
func (b *makingBench) tested(t testing.TB, washes []*blend.Coating, seed int) *testedPiece {
	rng := rand.New(rand.NewPCG(uint64(seed), 0x7e57ed))
	b.reseed(seed)
	p := &testedPiece{makingBench: b}
	if seed%3 == 2 {
		for c := range p.off {
			p.off[c] = 2 * rng.NormFloat64()
		}
	}
	for _, k := range rng.Perm(len(washes))[:2] {
		wash := washes[k]
		p.washes = append(p.washes, wash)
		shelf := learn.ShelfCoating{Name: wash.Name, Kind: wash.Kind}
		known := rng.IntN(3)
		if known != 1 {
			chip := p.shown(b.truth.making.Limit(wash))
			shelf.Evidence.Chip = &chip
		}
		if known != 0 {
			shelf.Evidence.Tests = []learn.TestCoat{{Ground: p.shown(b.pale), Result: p.shown(b.over(wash, &b.pale, b.board(1))), Coats: 1,
				Surface: b.truth.surface()}}
		}
		p.dataset.Shelf = append(p.dataset.Shelf, shelf)
	}
	woods := append(slices.Clone(b.others), b.pale, b.dark)
	rng.Shuffle(len(woods), func(i, k int) { woods[i], woods[k] = woods[k], woods[i] })
	p.woods = woods[:2]
	for i := range p.woods {
		p.dataset.Colours = append(p.dataset.Colours, p.shown(p.woods[i]))
		p.problem.Areas = append(p.problem.Areas,
			Area{Name: fmt.Sprint("area ", i), Surface: b.truth.surface(), Mean: i, Light: None, Dark: None, Target: None})
	}
	if seed%2 == 1 {
		board := b.over(p.washes[0], &woods[2], float64(2+rng.IntN(3)))
		p.target = &board
		for i := range p.problem.Areas {
			p.problem.Areas[i].Target = len(p.woods)
		}
		p.dataset.Colours = append(p.dataset.Colours, p.shown(board))
	}
	for range handsLaid {
		films := map[[2]int][]float64{}
		for i := range p.woods {
			for k := range p.washes {
				films[[2]int{i, k}] = b.piece(mostCounted)
			}
		}
		p.hands = append(p.hands, films)
	}
	return p
}

// shown is a colour as the photo of the piece shows it.
func (p *testedPiece) shown(s spectra.Spectrum) learn.Measured {
	m := p.read(s)
	if p.off != [3]float64{} {
		m.Lab.L, m.Lab.A, m.Lab.B = min(max(m.Lab.L+p.off[0], 0), 100), m.Lab.A+p.off[1], m.Lab.B+p.off[2]
		m.Photo, m.PlusMinus, m.Own = "front", 5, 1.2
	}
	return m
}

// planned learns from a dataset and plans.
func (p *testedPiece) planned(t testing.TB, d *learn.Dataset) *Plan {
	w, err := d.Draw(t.Context(), learn.Options{})
	require.NoError(t, err)
	plan, err := Make(t.Context(), w, p.problem)
	require.NoError(t, err)
	return plan
}

// after makes a test, and returns all that is then known.
func (p *testedPiece) after(made *test, seed int) *learn.Dataset {
	p.reseed(1_000_000 + seed) // the same draws for every test
	d := p.dataset
	d.Shelf, d.Colours = slices.Clone(d.Shelf), slices.Clone(d.Colours)
	switch made.way {
	case TestPhoto:
		for i := range p.woods {
			d.Colours[i] = p.read(p.woods[i])
		}
		if p.target != nil {
			d.Colours[len(p.woods)] = p.read(*p.target)
		}
		return &d
	case TestChip:
		chip := p.read(p.truth.making.Limit(p.washes[made.k]))
		d.Shelf[made.k].Evidence.Chip = &chip
		return &d
	}
	e, wash := &d.Shelf[made.k].Evidence, p.washes[made.k]
	e.Tests = slices.Clone(e.Tests)
	film := 0.0
	for n := 1; n <= made.n; n++ {
		if film += p.unevenly(); made.way == TestCoats && n < made.n {
			continue
		}
		lay := func(wood spectra.Spectrum, surface blend.Surface, over spectra.Spectrum) {
			e.Tests = append(e.Tests, learn.TestCoat{Ground: p.read(wood), Result: p.read(over), Coats: float64(n), Surface: surface,
				Board: "test", Strip: "test"})
		}
		if made.on != onCard {
			lay(p.woods[made.on], p.truth.surface(), p.over(wash, &p.woods[made.on], film))
			continue
		}
		for _, r := range []float64{cardBlack, cardWhite} {
			card := spectra.Spectrum{}
			for i := range card {
				card[i] = r
			}
			lay(card, blend.Sealed, p.truth.making.Over(wash, &card, false, film))
		}
	}
	return &d
}

// leaves is what the suggested coats of a plan truly come to, in the mean over the hands: the largest difference, and what is minimised.
func (p *testedPiece) leaves(plan *Plan) (worst, value float64) {
	ls := plan.first.layers
	for _, films := range p.hands {
		ends := make([]colour.Lab, len(p.woods))
		for i := range p.woods {
			s := p.woods[i]
			for l, layer := range ls[i].laid() {
				film := films[[2]int{i, layer.Coating}][layer.Coats]
				if l == 0 {
					s = p.over(p.washes[layer.Coating], &s, film)
				} else {
					s = p.truth.making.Over(p.washes[layer.Coating], &s, false, film)
				}
			}
			ends[i] = s.Lab()
		}
		most, sum := 0.0, 0.0
		for i := range ends {
			own := colour.DeltaE2000(ends[0], ends[1])
			if p.target != nil {
				own = max(own, colour.DeltaE2000(p.target.Lab(), ends[i]))
			}
			most, sum = max(most, own), sum+own
		}
		worst += most / handsLaid
		value += ((most+sum/float64(len(ends)))/2 + plan.first.price) / handsLaid
	}
	return worst, value
}

// TestNextTestOfAnotherMaking makes the test that is ranked first, the last one, any one and the one that narrows the counts most, plans
// anew each time, and lays what is planned by hand.
func TestNextTestOfAnotherMaking(t *testing.T) {
	b := newMakingBench(t, &truth{making: blendtest.Making{Surface: true}, byHand: true})
	washes := b.half(t, 1)
	type tally struct{ worst, value float64 }
	var without, first, width, any, last, none, noneFirst tally
	trials, nones, said := 0.0, 0.0, 0.0
	add := func(to *tally, piece *testedPiece, plan *Plan) {
		worst, value := piece.leaves(plan)
		to.worst, to.value = to.worst+worst, to.value+value
	}
	for seed := range figure.Draws(6, 90) {
		piece := b.tested(t, washes, seed)
		now := piece.planned(t, &piece.dataset)
		tests, advice, err := now.by.rankTests(t.Context(), now.first)
		require.NoError(t, err)
		follow := func(to *tally, made *test) { add(to, piece, piece.planned(t, piece.after(made, seed))) }
		if advice[0].net() < worthATest {
			nones++
			add(&none, piece, now)
			follow(&noneFirst, &tests[0])
			continue
		}
		trials++
		said += advice[0].Gain
		add(&without, piece, now)
		follow(&first, &tests[0])
		if narrowest := byWidth(now, tests); narrowest != nil {
			follow(&width, narrowest)
		} else {
			add(&width, piece, now)
		}
		follow(&any, &tests[b.hand.IntN(len(tests))])
		follow(&last, &tests[len(tests)-1])
	}
	show := func(s *tally, n float64) string { return fmt.Sprintf("%.2f (%.2f)", s.worst/n, s.value/n) }
	t.Logf("of %.0f pieces the worst two end apart (what is minimised): as it is %s, after the first test %s, the one that narrows the "+
		"counts most %s, any one %s, the last %s; said to gain %.2f", trials, show(&without, trials), show(&first, trials), show(&width, trials),
		show(&any, trials), show(&last, trials), said/trials)
	t.Logf("of %.0f where no test is advised: as it is %s, after the first %s", nones, show(&none, nones), show(&noneFirst, nones))
	figure.Report(t, "next test/first", "%s of %.0f", show(&first, trials), trials)
	figure.Report(t, "next test/without", "%s", show(&without, trials))
	figure.Report(t, "next test/by width", "%s", show(&width, trials))
	figure.Report(t, "next test/any", "%s", show(&any, trials))
	figure.Report(t, "next test/last", "%s", show(&last, trials))
	figure.Report(t, "next test/gains", "%.2f; said %.2f", (without.value-first.value)/trials, said/trials)
	figure.Report(t, "next test/none", "%s of %.0f; %s", show(&none, nones), nones, show(&noneFirst, nones))
	require.Less(t, first.value, without.value)
	require.Less(t, first.value, last.value)
	require.Less(t, first.worst, last.worst)
	if figure.Long() {
		require.Less(t, first.value, any.value)
	}
}
