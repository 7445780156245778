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

// hiding is a coating whose film scatters s a coat in every band and hides as a chip of a colour.
func hiding(name string, kind blend.Kind, chip colour.Lab, s float64) *blend.Coating {
	c := &blend.Coating{Name: name, Kind: kind}
	for i, r := range spectra.Smoothest(chip) {
		c.Films[i] = blend.Film{K: s * (1 - r) * (1 - r) / (2 * r), S: s} // K/S = (1−R)²/2R
	}
	return c
}

// Common practice, no source: a thin wash, 1 part paint to 3 parts water, between a dark red and a pale wood, both sealed, ended with three
// coats on the dark one and one on the pale. Among plans of four coats in all that is the nearest where the paint's chip and its hiding are
// as listed; for a darker chip the pale wood takes more.
func TestThreeOnTheDarkOneOnThePale(t *testing.T) {
	dark, pale := wood{name: "dark", surface: blend.Sealed, mean: colour.Lab{L: 38, A: 17, B: 17}}, wood{name: "pale", surface: blend.Sealed,
		mean: colour.Lab{L: 80, A: 4, B: 19}}
	nearest := func(l, s float64) (counts [2]int) {
		problem, colours := pieceOf([]wood{pale, dark})
		problem.Options.fill()
		m := newPlanner(scattered(0, 0, []*blend.Coating{hiding("wash", "wash", colour.Lab{L: l, A: 8, B: 18}, s)}, colours), &problem).best
		least := math.Inf(1)
		for n := range 5 {
			for k := range 5 - n {
				a, b := m.final(&problem.Areas[0], layers{{0, n}}), m.final(&problem.Areas[1], layers{{0, k}})
				if d := colour.DeltaE2000(a.mean, b.mean); d < least {
					least, counts = d, [2]int{n, k}
				}
			}
		}
		return counts
	}
	for _, c := range []struct{ l, s float64 }{{60, 0.08}, {60, 0.12}, {66, 0.15}, {66, 0.25}, {72, 0.3}, {72, 0.5}} {
		t.Logf("chip of L* %.0f, scattering %.2f a coat: %d on the pale wood, %d on the dark", c.l, c.s, nearest(c.l, c.s)[0],
			nearest(c.l, c.s)[1])
	}
	for _, c := range []struct{ l, s float64 }{{60, 0.1}, {66, 0.2}, {72, 0.4}} {
		require.Equal(t, [2]int{1, 3}, nearest(c.l, c.s), "%v", c)
	}
	require.Equal(t, [2]int{3, 1}, nearest(48, 0.1))
}

// Common practice, no source: a brown glaze over all draws what is left between two woods together; two coats leave about half. How strong
// such a glaze is does not stand in the fact: what each strength leaves is printed.
func TestGlazeOverAllDrawsTogether(t *testing.T) {
	last := 1.0
	for _, s := range []float64{0.01, 0.02, 0.03, 0.05, 0.08} {
		glaze := hiding("glaze", "glaze", colour.Lab{L: 28, A: 10, B: 14}, s)
		problem, colours := pieceOf([]wood{{name: "pale", surface: blend.Sealed, mean: colour.Lab{L: 58, A: 12, B: 20}},
			{name: "dark", surface: blend.Sealed, mean: colour.Lab{L: 48, A: 15, B: 19}}})
		problem.Layers = []ScheduledLayer{{Coating: 0, Coats: 2}}
		plan, err := Make(t.Context(), scattered(0, 0, []*blend.Coating{glaze}, colours), problem)
		require.NoError(t, err)
		require.Equal(t, 2, plan.Choices[0].Areas[0].Coats[0].Count, "a number that is given is laid")
		left := plan.Choices[0].Pairs[0].After.Median / colour.DeltaE2000(colours[0], colours[1])
		t.Logf("scattering %.2f a coat: %.2f of the difference is left under two coats", s, left)
		require.Less(t, left, last)
		last = left
	}
}

// Two woods that nearly match are left alone, and so is one area that is at its target.
func TestNearWoodsAreLeftAlone(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	for range 40 {
		a := anyWood(rng)
		b := colour.Lab{L: a.L + 1.2*rng.Float64(), A: a.A + 0.6*rng.Float64(), B: a.B}
		problem, colours := pieceOf([]wood{{name: "one", surface: blend.Sealed, mean: a}, {name: "two", surface: blend.Sealed, mean: b}})
		plan, err := Make(t.Context(), scattered(32, 0.2, []*blend.Coating{anyCoating(rng, "first"), anyCoating(rng, "second")}, colours),
			problem)
		require.NoError(t, err)
		require.True(t, plan.Choices[0].Untouched(), "%v and %v: %v", a, b, plan.Choices[0].Areas)
	}
}

// No coat is laid that gains less than its price, in the median over all samples that a plan is judged in.
func TestEveryCoatIsWorthItsPrice(t *testing.T) {
	rng := rand.New(rand.NewPCG(17, 29))
	coats := 0
	for i := range uint64(40) {
		p, front := anyFront(t, rng, i)
		best := front[0]
		for _, a := range best.areas {
			for l := range best.layers[a] {
				if best.layers[a][l].Coats == 0 {
					continue
				}
				coats++
				on := append([]layers{}, best.layers...)
				on[a] = on[a].with(l, on[a][l].Coats-1)
				fewer, err := p.judge(t.Context(), best.areas, on, best.orders, 0)
				require.NoError(t, err)
				gain := median(fewer.near) - median(best.near)
				require.GreaterOrEqual(t, gain, best.price-fewer.price-1e-9)
				require.Positive(t, gain, "no coat leads away")
			}
		}
	}
	require.Greater(t, coats, 40)
}

// anyFront plans a piece drawn at random: two to four areas that are to meet, one to three coatings.
func anyFront(t *testing.T, rng *rand.Rand, seed uint64) (*planner, []*candidate) {
	t.Helper()
	problem, w := anyPiece(rng, seed)
	p := newPlanner(w, problem)
	front, err := p.front(t.Context())
	require.NoError(t, err)
	return p, front
}

func anyPiece(rng *rand.Rand, seed uint64) (*Problem, *learn.Samples) {
	woods, shelf := anyPieceParts(rng)
	problem, colours := pieceOf(woods)
	problem.Options.fill()
	return &problem, scatteredBy(seed, 64, 0.2, shelf, colours)
}

func anyPieceParts(rng *rand.Rand) (woods []wood, shelf []*blend.Coating) {
	for i := range 2 + rng.IntN(3) {
		m := anyWood(rng)
		woods = append(woods, wood{string(rune('a' + i)), blend.Sealed, m, colour.Lab{L: m.L - 5, A: m.A + 1, B: m.B + 1}})
	}
	ground := spectra.Smoothest(woods[0].mean)
	for len(shelf) < 1+rng.IntN(3) {
		if c := blendtest.ThinnedTo(anyCoating(rng, string(rune('p'+len(shelf)))), &ground, 4+6*rng.Float64()); c != nil {
			shelf = append(shelf, c)
		}
	}
	return woods, shelf
}

// An area that nothing helps does not keep the others from what helps them.
func TestAStuckAreaLeavesOthersFree(t *testing.T) {
	stuck := wood{name: "stuck", surface: blend.Sealed, mean: colour.Lab{L: 30, A: 8, B: 8}}
	problem, colours := pieceOf([]wood{stuck, {name: "pale", surface: blend.Sealed, mean: colour.Lab{L: 80, A: 4, B: 20}},
		{name: "paler", surface: blend.Sealed, mean: colour.Lab{L: 84, A: 3, B: 18}}})
	for i := range problem.Areas {
		problem.Areas[i].Target = len(colours)
	}
	colours = append(colours, colour.Lab{L: 60, A: 14, B: 28})
	plan, err := Make(t.Context(), scattered(32, 0.1, []*blend.Coating{darkDye, blendtest.RedWash}, colours), problem)
	require.NoError(t, err)
	for _, a := range plan.Choices[0].Areas[1:] {
		require.Positive(t, len(a.Path)-1, a.Name)
		require.Less(t, a.After.Median, a.Before.Median)
	}
}

// One area marked three times gets the counts of one.
func TestCopiesOfAnAreaGetItsCounts(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 13))
	same, all := 0.0, 0.0
	for seed := range uint64(figure.Draws(10, 30)) {
		woods, shelf := anyPieceParts(rng)
		counts := func(woods []wood) map[string]string {
			problem, colours := pieceOf(woods)
			for i := range problem.Areas {
				problem.Areas[i].Target = len(colours)
			}
			plan, err := Make(t.Context(), scatteredBy(seed, 64, 0.2, shelf, append(colours, blendtest.ColourOver(shelf[0], woods[0].mean, 2))),
				problem)
			require.NoError(t, err)
			by := map[string]string{}
			for _, a := range plan.Choices[0].Areas {
				for _, c := range a.Coats {
					if c.Count > 0 {
						by[a.Name] += c.Coating + string(rune('0'+c.Count))
					}
				}
			}
			return by
		}
		one := woods[:1]
		copies := []wood{woods[0], woods[0], woods[0]}
		copies[1].name, copies[2].name = "copy", "other copy"
		alone, three := counts(one), counts(copies)
		all++
		if alone["a"] == three["a"] && alone["a"] == three["copy"] && alone["a"] == three["other copy"] {
			same++
		}
	}
	t.Logf("of %.0f areas marked three times %.0f %% get the counts of one", all, 100*same/all)
	figure.Report(t, "plan/copies of an area", "%.0f %%", 100*same/all)
	figure.AtLeast(t, 0.9, same/all, all)
}

// The same counts come out of other draws, or both are shown as equally good.
func TestSeedsDoNotDecide(t *testing.T) {
	steady, pieces := 0.0, 0.0
	for piece := range uint64(figure.Draws(8, 40)) {
		var first *Plan
		same := true
		for seed := range uint64(figure.Draws(4, 6)) {
			rng := rand.New(rand.NewPCG(55, piece))
			problem, w := anyPiece(rng, 100*piece+seed)
			plan, err := Make(t.Context(), w, *problem)
			require.NoError(t, err)
			if first == nil {
				first = plan
				continue
			}
			same = same && (offers(first, &plan.Choices[0]) || offers(plan, &first.Choices[0]))
		}
		pieces++
		if same {
			steady++
		}
	}
	t.Logf("of %.0f pieces %.0f %% get the same counts from all seeds, or are told that both are as good", pieces, 100*steady/pieces)
	figure.Report(t, "plan/same from six seeds", "%.0f %%", 100*steady/pieces)
	figure.AtLeast(t, 0.9, steady/pieces, pieces)
}

// offers reports whether a plan suggests the counts of a choice, or shows them as just as good.
func offers(p *Plan, c *Choice) bool {
	for _, x := range append([]Choice{p.Choices[0]}, p.AsGood...) {
		same := true
		for i := range x.Areas {
			same = same && laidWords(&x.Areas[i]) == laidWords(&c.Areas[i])
		}
		if same {
			return true
		}
	}
	return false
}

func laidWords(a *AreaPlan) (words string) {
	for _, c := range a.Coats {
		if c.Count > 0 {
			words += c.Coating + string(rune('0'+c.Count)) + " "
		}
	}
	return words
}

// No figure of a plan lies outside its own range.
func TestFiguresLieInTheirRanges(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 20))
	within := func(s Spread) {
		t.Helper()
		require.LessOrEqual(t, s.Low, s.Median)
		require.LessOrEqual(t, s.Median, s.High)
	}
	for piece := range uint64(figure.Draws(20, 500)) {
		problem, w := anyPiece(rng, piece)
		if piece%2 == 0 { // one target for all
			target := w.Best.Colours[0]
			problem.Areas = append([]Area{}, problem.Areas[1:]...)
			for i := range problem.Areas {
				problem.Areas[i].Target = len(w.Best.Colours)
			}
			w.Best.Colours = append(w.Best.Colours, target)
			for i := range w.Drawn {
				w.Drawn[i].Colours = append(w.Drawn[i].Colours, target)
			}
		}
		plan, err := Make(t.Context(), w, *problem)
		require.NoError(t, err)
		for _, c := range append(plan.Choices, plan.AsGood...) {
			within(c.Worst)
			for _, p := range c.Pairs {
				within(p.Before)
				within(p.After)
			}
			for _, a := range c.Areas {
				within(a.Before)
				within(a.After)
				for _, k := range a.Coats {
					require.LessOrEqual(t, k.Range[0], k.Count)
					require.LessOrEqual(t, k.Count, k.Range[1])
				}
				for _, s := range append(a.Path, a.OneMore) {
					within(Spread{s.DeltaE, s.Low, s.High})
				}
			}
		}
		for _, options := range plan.Single {
			for _, o := range options {
				within(o.DeltaE)
			}
		}
	}
}

// Coats whose number is given are laid, and count, though nothing was looked for.
func TestGivenCoatsCount(t *testing.T) {
	problem, colours := pieceOf([]wood{paleFrame, redPanel})
	problem.Layers = []ScheduledLayer{{Coating: 0, Areas: []int{0}, Coats: 2}}
	plan, err := Make(t.Context(), scattered(8, 0.1, []*blend.Coating{blendtest.RedWash}, colours), problem)
	require.NoError(t, err)
	require.Equal(t, 2, plan.Choices[0].Coats)
	require.False(t, plan.Choices[0].Untouched())
	require.Len(t, plan.Choices[0].Areas[0].Path, 3)
	require.Len(t, plan.Choices[0].Areas[1].Path, 1)
	pair := plan.Choices[0].Pairs[0]
	now := colour.DeltaE2000(plan.Choices[0].Areas[0].Path[0].Lab, plan.Choices[0].Areas[1].Path[0].Lab)
	require.InDelta(t, now, pair.Before.Median, 1, "how far apart two areas are now knows nothing of coats to come")
	require.Greater(t, math.Abs(pair.After.Median-pair.Before.Median), 2.0)
}

// Of an area that the layers leave out nothing is explained: that it stays as it is was asked for.
func TestLeftOutIsNotExplained(t *testing.T) {
	black := colour.Lab{L: 20, A: 5, B: 5}
	problem, colours := pieceOf([]wood{paleFrame, redPanel}, black, black)
	problem.Layers = []ScheduledLayer{{Coating: 0, Areas: []int{0}, Coats: Planned}}
	plan, err := Make(t.Context(), scattered(8, 0.1, []*blend.Coating{blendtest.RedWash}, colours), problem)
	require.NoError(t, err)
	frame, panel := &plan.Choices[0].Areas[0], &plan.Choices[0].Areas[1]
	require.NotEmpty(t, frame.Why)
	require.False(t, panel.Reachable)
	require.Empty(t, panel.Why)
}

// Many areas are planned by the woods that they are of: those that are alike get the same coats, and each is told with its own figures.
func TestManyAreasArePlannedByWood(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 34))
	var woods []wood
	for i := range 24 {
		w := []wood{paleFrame, redPanel, {surface: blend.Sealed, mean: blendtest.Oak}}[i%3]
		w.name = fmt.Sprint("area ", i)
		w.mean.L += 0.4 * rng.Float64()
		woods = append(woods, w)
	}
	problem, colours := pieceOf(woods)
	plan, err := Make(t.Context(), scattered(32, 0.1, []*blend.Coating{blendtest.RedWash, blendtest.PaleWash}, colours), problem)
	require.NoError(t, err)
	first := plan.Choices[0]
	require.Len(t, first.Areas, len(woods))
	require.Len(t, first.Pairs, len(woods)*(len(woods)-1)/2)
	require.Positive(t, first.Coats)
	for i := range first.Areas {
		a := &first.Areas[i]
		require.Equal(t, woods[i].name, a.Name)
		require.Equal(t, laidWords(&first.Areas[i%3]), laidWords(a))
		require.InDelta(t, 0, colour.DeltaE2000(colours[problem.Areas[i].Mean], a.Path[0].Lab), 1e-6, "its own colour")
	}
	for k := range first.Pairs {
		if p := &first.Pairs[k]; p.Before.Median > 20 {
			require.Less(t, p.After.Median, p.Before.Median/2, "%v", p)
		}
	}
}

// A finish of more layers than can be looked through is refused, not tried.
func TestTooManyLayersAreRefused(t *testing.T) {
	problem, colours := pieceOf([]wood{paleFrame, redPanel})
	w := scattered(2, 0.1, []*blend.Coating{blendtest.RedWash}, colours)
	for range 5 {
		problem.Layers = append(problem.Layers, ScheduledLayer{Coating: 0, Coats: Planned})
	}
	_, err := Make(t.Context(), w, problem)
	blendtest.RequireFault(t, err, "plan.layers")
	problem.Layers = problem.Layers[:4]
	_, err = Make(t.Context(), w, problem)
	require.NoError(t, err)
}
