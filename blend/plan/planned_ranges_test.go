package plan

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/figure"
)

// A tally counts how often what was said came true, by how likely it was said to be.
type tally struct {
	said, came, cases [5]float64
}

func (t *tally) add(chance float64, came bool) {
	i := min(int(5*chance), 4)
	t.cases[i]++
	t.said[i] += chance
	if came {
		t.came[i]++
	}
}

func (t *tally) log(test *testing.T, what string) {
	for i := range t.cases {
		if t.cases[i] > 0 {
			test.Logf("%-24s said %3.0f %%, came %3.0f %% of %4.0f", what, 100*t.said[i]/t.cases[i], 100*t.came[i]/t.cases[i], t.cases[i])
		}
	}
}

// off is how far what came was from what was said, weighted by the cases.
func (t *tally) off() (off float64) {
	all := 0.0
	for i := range t.cases {
		d := t.came[i] - t.said[i]
		off += max(d, -d)
		all += t.cases[i]
	}
	return off / all
}

// most is how far what came was from what was said in the fifth where that is most.
func (t *tally) most() (most float64) {
	for i := range t.cases {
		if t.cases[i] > 0 {
			most = max(most, math.Abs(t.came[i]-t.said[i])/t.cases[i])
		}
	}
	return most
}

// aPlanned is a coating, a wood and a target drawn at random, in samples of which the last is the
// truth and not planned with.
func aPlanned(rng *rand.Rand, seed uint64, spread float64) (w *learn.Samples, truth learn.Sample, problem Problem, ok bool) {
	c, lab := anyCoating(rng, "any"), anyWood(rng)
	ground := spectra.Smoothest(lab)
	if c = blendtest.ThinnedTo(c, &ground, 4+6*rng.Float64()); c == nil {
		return nil, learn.Sample{}, problem, false
	}
	target := blendtest.ColourOver(c, lab, float64(1+seed%5))
	problem, colours := pieceOf([]wood{{name: fmt.Sprint("area ", seed), surface: blend.Sealed, mean: lab}}, target)
	problem.Options.fill()
	w = scatteredBy(seed, 97, spread, []*blend.Coating{c}, colours)
	truth, w.Drawn = w.Drawn[96], w.Drawn[:96]
	return w, truth, problem, true
}

// shareIn is the share of samples whose best count is in a range: what the range says of itself. A
// range of whole coats that must hold 80 of 100 samples mostly holds more.
func shareIn(byWorld []int, r [2]int) (share float64) {
	for _, n := range byWorld {
		if n >= r[0] && n <= r[1] {
			share += 1 / float64(len(byWorld))
		}
	}
	return share
}

// What a plan says of chances comes true as often as it says: of ending within tolerance, and of
// each coat leading too far.
func TestChancesComeTrue(t *testing.T) {
	rng := rand.New(rand.NewPCG(89, 144))
	var within, over tally
	early, stops := 0.0, 0.0
	for seed := range uint64(figure.Draws(250, 500)) {
		w, truth, problem, ok := aPlanned(rng, 5000+seed, 0.1+0.3*rng.Float64())
		if !ok {
			continue
		}
		plan, err := Make(t.Context(), w, problem)
		require.NoError(t, err)
		a, v := plan.Choices[0].Areas[0], model{&problem, &truth}
		n := len(a.Path) - 1
		c := layers{{0, n + 1}}
		appearances, target := v.appearances(&problem.Areas[0], c), v.target(&problem.Areas[0])
		within.add(a.Within, colour.DeltaE2000(target, appearances[n].mean) <= 2)
		came := v.overshoots(&problem.Areas[0], c, appearances, target)
		for i, s := range append(a.Path[1:], a.OneMore) {
			over.add(s.Overshoot, came[i+1])
		}
		stops++
		for i := 1; i <= a.StopAfter; i++ {
			if came[i] {
				early++
				break
			}
		}
	}
	within.log(t, "ends within tolerance")
	over.log(t, "a coat leads too far")
	t.Logf("by the coat to stop and look after, %.0f %% of %.0f had gone too far", 100*early/stops, stops)
	figure.Report(t, "chances/within tolerance", "%.0f", 100*within.most())
	figure.Report(t, "chances/a coat too far", "%.0f", 100*over.most())
	require.Less(t, within.off(), 0.1)
	require.Less(t, over.off(), 0.1)
	require.Less(t, early/stops, 0.3)
}

// truthSpace is the search space of an order on areas of a problem in a sample that is the truth.
func truthSpace(w *learn.Samples, problem *Problem, truth *learn.Sample, group []int, order layerOrder) *searchSpace {
	p, v := newPlanner(w, problem), model{problem, truth}
	options := p.optionsOf(order, group)
	return v.newSearchSpace(p.areasOf(group), options, func(a *Area) []appearance { return v.finals(a, options) },
		func(a *Area, ls layers) float64 { return p.price(a, order, ls) })
}

// The ranges of counts hold where two woods are to meet, as often as where there is a target.
func TestMeetRangesHold(t *testing.T) {
	rng := rand.New(rand.NewPCG(233, 377))
	held, said, alone, worst, trials, spreads, width := 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
	for seed := range uint64(figure.Draws(60, 160)) {
		pale := colour.Lab{L: 70 + 14*rng.Float64(), A: 2 + 6*rng.Float64(), B: 15 + 10*rng.Float64()}
		dark := colour.Lab{L: 38 + 16*rng.Float64(), A: 8 + 12*rng.Float64(), B: 14 + 12*rng.Float64()}
		ground := spectra.Smoothest(pale)
		c := blendtest.ThinnedTo(anyCoating(rng, "any"), &ground, 4+6*rng.Float64())
		if c == nil {
			continue
		}
		problem, colours := pieceOf([]wood{
			{"pale", blend.Sealed, pale, colour.Lab{L: pale.L - 5, A: pale.A + 2, B: pale.B + 3}},
			{"dark", blend.Sealed, dark, colour.Lab{L: dark.L - 5, A: dark.A - 1, B: dark.B - 2}},
		})
		problem.Options.fill()
		w := scatteredBy(9000+seed, 65, 0.2, []*blend.Coating{c}, colours)
		truth := w.Drawn[64]
		w.Drawn = w.Drawn[:64]
		plan, err := Make(t.Context(), w, problem)
		require.NoError(t, err)
		choice := plan.Choices[0]
		m := truthSpace(w, &problem, &truth, []int{0, 1}, layerOrder{{Coating: 0, Coats: Planned}})
		best := m.minimise(func(i, c int) bool { return true })
		at := make([]int, 2)
		for i, a := range choice.Areas {
			if len(a.Coats) == 0 {
				continue // hardly any sample lays a coat there
			}
			r := a.Coats[0].Range
			at[i] = a.Coats[0].Count
			said += shareIn(a.bestCounts[0], r)
			trials++
			width += float64(r[1] - r[0])
			if best[i] >= r[0] && best[i] <= r[1] {
				held++
			}
			if best[i] == at[i] {
				alone++
			}
		}
		spreads++
		if d := m.deltaE(1, at[1], 0, at[0]); d >= choice.Worst.Low && d <= choice.Worst.High {
			worst++
		}
	}
	t.Logf("of %.0f counts where woods meet: 80 %% range (%.1f coats wide) holds %.0f %% (says %.0f %%), the count alone %.0f %%; "+
		"80 %% range of what is then between the two holds %.0f %%",
		trials, width/trials, 100*held/trials, 100*said/trials, 100*alone/trials, 100*worst/spreads)
	figure.Report(t, "ranges where woods meet", "%.0f %% (says %.0f)", 100*held/trials, 100*said/trials)
	figure.AtLeast(t, 0.76, held/trials, trials)
	require.InDelta(t, said/trials, held/trials, 0.06+figure.Slack(said/trials, trials))
	require.InDelta(t, 0.8, worst/spreads, 0.1+figure.Slack(0.8, spreads))
}

// The range of each coating of a stack holds its count in the best there is as often as it says.
func TestStackRangesHold(t *testing.T) {
	held, said, trials := 0.0, 0.0, 0.0
	for seed := range uint64(60) {
		target := after(purpleDye, after(orangeDye, maple, 1+float64(seed%3), blend.Sealed), 1+float64(seed%4), blend.Sealed)
		problem, colours := pieceOf([]wood{{name: fmt.Sprint("leg ", seed), surface: blend.Sealed, mean: maple}}, target)
		problem.Options.fill()
		w := scatteredBy(700+seed, 65, 0.15, []*blend.Coating{purpleDye, orangeDye}, colours)
		truth := w.Drawn[64]
		w.Drawn = w.Drawn[:64]
		problem.Options.Price = littlePrice
		plan, err := Make(t.Context(), w, problem)
		require.NoError(t, err)
		a := plan.Choices[0].Areas[0]
		if len(a.Coats) < 2 || a.Coats[0].Count == 0 || a.Coats[1].Count == 0 {
			continue
		}
		var order layerOrder
		for _, c := range a.Coats {
			order = append(order, ScheduledLayer{Coating: planPlace([]*blend.Coating{purpleDye, orangeDye}, c.Coating), Coats: Planned})
		}
		m := truthSpace(w, &problem, &truth, []int{0}, order)
		best := m.options[m.minimise(func(int, int) bool { return true })[0]]
		for i, c := range a.Coats {
			trials++
			said += shareIn(a.bestCounts[i], c.Range)
			if n := best[i].Coats; n >= c.Range[0] && n <= c.Range[1] {
				held++
			}
		}
	}
	t.Logf("of %.0f counts in stacks: 80 %% range holds %.0f %% (says %.0f %%)", trials, 100*held/trials, 100*said/trials)
	figure.Report(t, "ranges in stacks", "%.0f %% (says %.0f)", 100*held/trials, 100*said/trials)
	require.Greater(t, trials, 60.0)
	require.GreaterOrEqual(t, held/trials, 0.76)
	require.InDelta(t, said/trials, held/trials, 0.06)
}
