package blend

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
)

// A bench where paints that were measured are laid as washes on woods, and every colour is read
// with noise of sd 0.5 in L*, a* and b*.
type paintBench struct {
	noise      *rand.Rand
	pale, dark colour.Spectrum // that test coats are laid on
	others     []colour.Spectrum
	washes     []*Coating
}

const readingNoise = 0.5

// The species are the trade's, from memory, ±5.
func newPaintBench(t testing.TB) *paintBench {
	p := readPalette(t)
	b := &paintBench{
		noise: rand.New(rand.NewPCG(1948, 36)),
		pale:  woodLike(t, colour.Lab{L: 82, A: 4, B: 19}),
		dark:  woodLike(t, colour.Lab{L: 55, A: 12, B: 21}),
		others: []colour.Spectrum{plywood(t), woodLike(t, ash), woodLike(t, oak),
			woodLike(t, colour.Lab{L: 62, A: 11, B: 22}), woodLike(t, walnut)},
	}
	b.washes = p.washes(&b.pale)
	return b
}

func (b *paintBench) read(s colour.Spectrum) Measured {
	c := s.Lab()
	c.L = min(max(c.L+readingNoise*b.noise.NormFloat64(), 0), 100)
	c.A += readingNoise * b.noise.NormFloat64()
	c.B += readingNoise * b.noise.NormFloat64()
	return Measured{Lab: c}
}

func (b *paintBench) test(c *Coating, wood colour.Spectrum, coats float64) TestCoat {
	return TestCoat{Ground: b.read(wood), Result: b.read(c.Over(&wood, coats)), Coats: coats, Even: true}
}

var evidenceRows = []struct {
	name string
	of   func(b *paintBench, c *Coating) Evidence
}{
	{"chip + 1 coat on a pale wood", func(b *paintBench, c *Coating) Evidence {
		chip := b.read(c.Limit())
		return Evidence{Chip: &chip, Tests: []TestCoat{b.test(c, b.pale, 1)}}
	}},
	{"1 coat on a pale and a dark red wood", func(b *paintBench, c *Coating) Evidence {
		return Evidence{Tests: []TestCoat{b.test(c, b.pale, 1), b.test(c, b.dark, 1)}}
	}},
	{"chip + 1 coat on both", func(b *paintBench, c *Coating) Evidence {
		chip := b.read(c.Limit())
		return Evidence{Chip: &chip, Tests: []TestCoat{b.test(c, b.pale, 1), b.test(c, b.dark, 1)}}
	}},
	{"chip + coats 1 and 2 on both", func(b *paintBench, c *Coating) Evidence {
		chip := b.read(c.Limit())
		return Evidence{Chip: &chip, Tests: []TestCoat{b.test(c, b.pale, 1), b.test(c, b.dark, 1), b.test(c, b.pale, 2), b.test(c, b.dark, 2)}}
	}},
}

// A score adds up how well coats were foretold.
type score struct{ deltaE, exact, within, trials float64 }

func (s *score) add(deltaE float64, miss int) {
	s.trials++
	s.deltaE += deltaE
	if miss == 0 {
		s.exact++
	}
	if miss*miss <= 1 {
		s.within++
	}
}

func (s *score) mean() float64        { return s.deltaE / s.trials }
func (s *score) exactShare() float64  { return s.exact / s.trials }
func (s *score) withinShare() float64 { return s.within / s.trials }

func (s *score) String() string {
	return fmt.Sprintf("%5.2f  %3.0f %%  %3.0f %%", s.mean(), 100*s.exactShare(), 100*s.withinShare())
}

// A rival is a way to foretell coats and to count them, with what it has scored.
type rival struct {
	name  string
	learn func(testing.TB, *Coating, Evidence) (foreteller, counter)
	score score
}

// A counter says how many coats to lay.
type counter func(ground, target colour.Lab) int

func rivals() []*rival {
	return []*rival{
		{name: "ours", learn: func(t testing.TB, truth *Coating, e Evidence) (foreteller, counter) {
			c, _, err := Learn(truth.Name, truth.Kind, e)
			require.NoError(t, err)
			return c, func(ground, target colour.Lab) int { return plannedCoats(t, c, ground, target) }
		}},
		{name: "three bands", learn: func(_ testing.TB, _ *Coating, e Evidence) (foreteller, counter) {
			return counting(learnThreeBands(e))
		}},
		{name: "adding ΔLab", learn: func(_ testing.TB, _ *Coating, e Evidence) (foreteller, counter) {
			return counting(learnShift(e))
		}},
	}
}

func counting(f foreteller) (foreteller, counter) {
	return f, func(ground, target colour.Lab) int { return countFor(f, ground, target) }
}

// compare lays 2, 3 and 5 coats of each wash on the woods and has all rivals foretell them, and
// count the coats to where they led, from the same readings.
func (b *paintBench) compare(t testing.TB, washes []*Coating, woods []colour.Spectrum, evidence func(*paintBench, *Coating) Evidence) []*rival {
	all := rivals()
	for _, wash := range washes {
		e := evidence(b, wash)
		seed := b.noise.Uint64()
		for _, r := range all {
			foretold, count := r.learn(t, wash, e)
			b.noise = rand.New(rand.NewPCG(seed, 0)) // every rival reads the same
			for _, wood := range woods {
				for _, n := range []int{2, 3, 5} {
					end := wash.Over(&wood, float64(n))
					ground, target := b.read(wood).Lab, b.read(end).Lab
					off := colour.DeltaE2000(end.Lab(), foretold.colourAfter(ground, n))
					r.score.add(off, count(ground, target)-n)
				}
			}
		}
	}
	return all
}

// TestMeasuredPaints holds the learner and the planner against real paints. Run it with -v for the
// whole table.
func TestMeasuredPaints(t *testing.T) {
	b := newPaintBench(t)
	require.Greater(t, len(b.washes), 15)
	t.Logf("%d measured paints as washes of 7 ΔE00 a coat on a pale wood, then 2, 3 and 5 coats: mean ΔE00, count exact, within one", len(b.washes))
	for i, row := range evidenceRows {
		all := b.compare(t, b.washes, b.others, row.of)
		onTested := b.compare(t, b.washes, []colour.Spectrum{b.pale, b.dark}, row.of)
		t.Log(row.name)
		for _, r := range all {
			t.Logf("    on five other woods  %-12s %v", r.name, &r.score)
		}
		t.Logf("    on the tested woods  %-12s %v", onTested[0].name, &onTested[0].score)
		if i != 2 {
			continue
		}
		ours := &all[0].score
		require.GreaterOrEqual(t, ours.exactShare(), 0.75)
		require.GreaterOrEqual(t, ours.withinShare(), 0.95)
		for _, r := range all[1:] {
			require.Less(t, ours.mean(), r.score.mean(), r.name)
			require.Greater(t, ours.exactShare(), r.score.exactShare(), r.name)
		}
	}
}

// The radius a report gives must hold what then happens on woods it knows nothing of: 95 % is
// claimed, and claimed to be wide rather than narrow.
func TestPlusMinusCovers(t *testing.T) {
	b := newPaintBench(t)
	for _, row := range evidenceRows {
		held, trials, sum := 0.0, 0.0, 0.0
		for _, wash := range b.washes {
			learned, report, err := Learn(wash.Name, wash.Kind, row.of(b, wash))
			require.NoError(t, err)
			for _, wood := range b.others {
				for _, n := range []float64{2, 3, 5} {
					end := wash.Over(&wood, n)
					radius := report.PlusMinus(wood.Lab(), n)
					if colour.DeltaE2000(end.Lab(), colourOver(learned, wood.Lab(), n)) <= radius {
						held++
					}
					trials++
					sum += radius
				}
			}
		}
		t.Logf("%-38s mean radius %4.1f holds %.0f %%", row.name, sum/trials, 100*held/trials)
		require.GreaterOrEqual(t, held/trials, 0.9, row.name)
	}
}

func plannedCoats(t testing.TB, c *Coating, ground, target colour.Lab) (count int) {
	plan, err := PlanArea(ground, target, []*Coating{c}, PlanOptions{})
	require.NoError(t, err)
	for _, l := range plan.Coats {
		count += l.Count
	}
	return count
}
