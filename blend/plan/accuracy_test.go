package plan

import (
	"context"
	"fmt"
	"math/rand/v2"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/figure"
	"huewright/internal/rival"
)

// A bench where paints that were measured are laid as washes on woods, and every colour is read
// with noise of sd 0.5 in L*, a* and b*.
type paintBench struct {
	noise      *rand.Rand
	noiseSD    float64
	pale, dark spectra.Spectrum // that test coats are laid on
	others     []spectra.Spectrum
	washes     []*blend.Coating
}

const readingNoise = 0.5

// littlePrice is a price of coats at which the fifth must gain 0.1 ΔE00: the nearest end is looked for, and no coat beyond it laid.
const littlePrice = 0.02

// The species are the trade's, from memory, ±5.
func newPaintBench(t testing.TB) *paintBench {
	p := blendtest.ReadPalette(t)
	b := &paintBench{
		noise: rand.New(rand.NewPCG(1948, 36)), noiseSD: readingNoise,
		pale: blendtest.WoodLike(t, colour.Lab{L: 82, A: 4, B: 19}),
		dark: blendtest.WoodLike(t, colour.Lab{L: 55, A: 12, B: 21}),
		others: []spectra.Spectrum{blendtest.Plywood(t), blendtest.WoodLike(t, blendtest.Ash), blendtest.WoodLike(t, blendtest.Oak),
			blendtest.WoodLike(t, colour.Lab{L: 62, A: 11, B: 22}), blendtest.WoodLike(t, blendtest.Walnut)},
	}
	b.washes = p.Washes(blendtest.Making{}, &b.pale, 7)
	return b
}

func (b *paintBench) read(s spectra.Spectrum) learn.Measured {
	c := s.Lab()
	c.L = min(max(c.L+b.noiseSD*b.noise.NormFloat64(), 0), 100)
	c.A += b.noiseSD * b.noise.NormFloat64()
	c.B += b.noiseSD * b.noise.NormFloat64()
	return learn.Measured{Lab: c}
}

func (b *paintBench) test(c *blend.Coating, wood spectra.Spectrum, coats float64) learn.TestCoat {
	return learn.TestCoat{Ground: b.read(wood), Result: b.read(c.Over(&wood, coats)), Coats: coats, Even: true}
}

// Rows of evidence, with the least that must be reached.
var evidenceRows = []struct {
	name                string
	mean, exact, within float64
	of                  func(b *paintBench, c *blend.Coating) learn.Evidence
}{
	{"chip + 1 coat on a pale wood", 2.2, 0.65, 0.92, func(b *paintBench, c *blend.Coating) learn.Evidence {
		chip := b.read(c.Limit())
		return learn.Evidence{Chip: &chip, Tests: []learn.TestCoat{b.test(c, b.pale, 1)}}
	}},
	{"1 coat on a pale and a dark red wood", 2.2, 0.66, 0.88, func(b *paintBench, c *blend.Coating) learn.Evidence {
		return learn.Evidence{Tests: []learn.TestCoat{b.test(c, b.pale, 1), b.test(c, b.dark, 1)}}
	}},
	{"chip + 1 coat on both", 1.4, 0.85, 0.985, func(b *paintBench, c *blend.Coating) learn.Evidence {
		chip := b.read(c.Limit())
		return learn.Evidence{Chip: &chip, Tests: []learn.TestCoat{b.test(c, b.pale, 1), b.test(c, b.dark, 1)}}
	}},
	{"chip + coats 1 and 2 on both", 0.85, 0.94, 0.99, func(b *paintBench, c *blend.Coating) learn.Evidence {
		chip := b.read(c.Limit())
		return learn.Evidence{Chip: &chip, Tests: []learn.TestCoat{b.test(c, b.pale, 1), b.test(c, b.dark, 1), b.test(c, b.pale, 2),
			b.test(c, b.dark, 2)}}
	}},
}

// A score adds up how well coats were predicted.
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

// A contender is a way to predict coats and to count them, with what it has scored where ground and
// target are known exactly, so that only the learner reads with noise, and where they are read too.
type contender struct {
	name        string
	learn       func(testing.TB, *blend.Coating, learn.Evidence) rival.Predictor
	known, read score
}

func contenders() []*contender {
	return []*contender{
		{name: "ours", learn: func(t testing.TB, truth *blend.Coating, e learn.Evidence) rival.Predictor {
			s := learn.Dataset{Shelf: []learn.ShelfCoating{{Name: truth.Name, Kind: truth.Kind, Evidence: e}}}
			w, err := s.Draw(t.Context(), learn.Options{})
			require.NoError(t, err)
			return inSpectra{&w.Best.Coatings[0]}
		}},
		{name: "three bands", learn: func(_ testing.TB, _ *blend.Coating, e learn.Evidence) rival.Predictor {
			return rival.LearnThreeBands(e)
		}},
		{name: "adding ΔLab", learn: func(_ testing.TB, _ *blend.Coating, e learn.Evidence) rival.Predictor { return rival.LearnShift(e) }},
		{name: "the paint itself", learn: func(_ testing.TB, truth *blend.Coating, _ learn.Evidence) rival.Predictor { return inSpectra{truth} }},
	}
}

// compare lays 2, 3 and 5 coats of each wash on the woods and has all contenders predict them, and
// count the coats to where they led, from the same readings.
func (b *paintBench) compare(t testing.TB, washes []*blend.Coating,
	evidence func(*paintBench, *blend.Coating) learn.Evidence) []*contender {
	all := contenders()
	for _, wash := range washes {
		e := evidence(b, wash)
		predicted := make([]rival.Predictor, len(all))
		for i, r := range all {
			predicted[i] = r.learn(t, wash, e)
		}
		for _, wood := range b.others {
			for _, n := range []int{2, 3, 5} {
				end := wash.Over(&wood, float64(n))
				ground, target := b.read(wood).Lab, b.read(end).Lab
				for i, r := range all {
					off := colour.DeltaE2000(end.Lab(), predicted[i].After(wood.Lab(), n))
					r.known.add(off, rival.Count(predicted[i], wood.Lab(), end.Lab())-n)
					off = colour.DeltaE2000(end.Lab(), predicted[i].After(ground, n))
					r.read.add(off, rival.Count(predicted[i], ground, target)-n)
				}
			}
		}
	}
	return all
}

// strengths are how far, in ΔE00, one coat of each wash moves a pale wood.
var strengths = []float64{4, 7, 10}

// half returns each wash in three strengths, of the samples of an even number or of an odd one. The
// prior was chosen on the even ones.
func (b *paintBench) half(odd int) (all []*blend.Coating) {
	for _, w := range b.washes {
		if number, _ := strconv.Atoi(w.Name[:2]); number%2 != odd {
			continue
		}
		for _, strength := range strengths {
			if thin := blendtest.ThinnedTo(w, &b.pale, strength); thin != nil {
				all = append(all, thin)
			}
		}
	}
	return all
}

// planned counts coats as the program does: from samples, ground and target read with noise too.
func (b *paintBench) planned(t testing.TB, washes []*blend.Coating, evidence func(*paintBench, *blend.Coating) learn.Evidence) (s score) {
	noise := b.noise
	defer func() { b.noise = noise }()
	b.noise = rand.New(rand.NewPCG(7, 1948))
	for _, wash := range washes {
		dataset := learn.Dataset{Shelf: []learn.ShelfCoating{{Name: wash.Name, Kind: wash.Kind, Evidence: evidence(b, wash)}}}
		problem := Problem{Options: Options{Price: littlePrice}}
		var want []int
		for _, wood := range b.others {
			for _, n := range []int{2, 3, 5} {
				end := wash.Over(&wood, float64(n))
				at := len(dataset.Colours)
				dataset.Colours = append(dataset.Colours, b.read(wood), b.read(end))
				problem.Areas = append(problem.Areas, Area{Name: fmt.Sprint("area ", at), Surface: blend.Sealed, Mean: at, Light: None,
					Dark: None, Target: at + 1})
				want = append(want, n)
			}
		}
		w, err := dataset.Draw(t.Context(), learn.Options{})
		require.NoError(t, err)
		plan, err := Make(t.Context(), w, problem)
		require.NoError(t, err)
		for i, a := range plan.Choices[0].Areas {
			s.add(0, len(a.Path)-1-want[i])
		}
	}
	return s
}

// TestMeasuredPaints holds the learner against real paints: half of them the prior was chosen on,
// and the other half, which a short run does alone. Run it with -v for the whole table.
func TestMeasuredPaints(t *testing.T) {
	for odd, half := range []string{"paints the prior was chosen on", "other paints"} {
		if odd == 0 && !figure.Long() {
			continue
		}
		b := newPaintBench(t)
		washes := b.half(odd)
		require.Greater(t, len(washes), 25)
		t.Logf("%s: %d washes of 4, 7 and 10 ΔE00 a coat, then 2, 3 and 5 coats on five woods: mean ΔE00, count exact, within one; "+
			"where ground and target are read with noise too", half, len(washes))
		for _, row := range evidenceRows {
			all := b.compare(t, washes, row.of)
			t.Log(row.name)
			for _, r := range all {
				t.Logf("    %-16s %v;  %v", r.name, &r.known, &r.read)
				if odd == 1 {
					figure.Report(t, "paints/"+row.name+"/"+r.name, "%.2f, %.0f / %.0f %%",
						r.known.mean(), 100*r.known.exactShare(), 100*r.known.withinShare())
					figure.Report(t, "paints, all read/"+row.name+"/"+r.name, "%.0f %%", 100*r.read.exactShare())
				}
			}
			planned := b.planned(t, washes[:figure.Draws(6, len(washes))], row.of)
			t.Logf("    %-16s %29s  %3.0f %%  %3.0f %%", "as planned", "", 100*planned.exactShare(), 100*planned.withinShare())
			require.GreaterOrEqual(t, planned.withinShare(), row.within-0.04, row.name)
			ours := &all[0].known
			require.LessOrEqual(t, ours.mean(), row.mean, row.name)
			require.GreaterOrEqual(t, ours.exactShare(), row.exact, row.name)
			require.GreaterOrEqual(t, ours.withinShare(), row.within, row.name)
			for _, r := range all[1:3] {
				require.Less(t, ours.mean(), r.known.mean(), r.name)
			}
		}
	}
	if !figure.Long() {
		return
	}
	b := newPaintBench(t)
	b.noiseSD = readingNoise / 10
	t.Log("other paints, with a tenth of the noise")
	for _, row := range evidenceRows {
		ours := b.compare(t, b.half(1), row.of)[0]
		t.Logf("    %-38s %v", row.name, &ours.known)
		figure.Report(t, "paints, a tenth of the noise/"+row.name, "%.2f, %.0f / %.0f %%",
			ours.known.mean(), 100*ours.known.exactShare(), 100*ours.known.withinShare())
	}
}

// eachOf is every step-th of all.
func eachOf[T any](all []T, step int) (some []T) {
	for i := 0; i < len(all); i += step {
		some = append(some, all[i])
	}
	return some
}

// The radius a report gives must hold what then happens on woods it knows nothing of: 95 % is
// claimed, and claimed to be wide rather than narrow. Counts from 1 to 6 make 630 trials of each row: with
// half of them the bound was met or missed by how a last digit was rounded.
func TestPlusMinusCovers(t *testing.T) {
	b := newPaintBench(t)
	for _, row := range evidenceRows {
		held, trials, sum := 0.0, 0.0, 0.0
		for _, wash := range b.washes {
			coating, report, err := mostProbable(t.Context(), wash.Name, wash.Kind, row.of(b, wash))
			require.NoError(t, err)
			for _, wood := range b.others {
				for _, n := range []float64{1, 2, 3, 4, 5, 6} {
					end := wash.Over(&wood, n)
					radius := report.PlusMinus(wood.Lab(), n)
					if colour.DeltaE2000(end.Lab(), blendtest.ColourOver(coating, wood.Lab(), n)) <= radius {
						held++
					}
					trials++
					sum += radius
				}
			}
		}
		t.Logf("%-38s mean radius %4.1f holds %.1f %%", row.name, sum/trials, 100*held/trials)
		require.GreaterOrEqual(t, held/trials, 0.9, row.name)
	}
}

// mostProbable returns the most probable coating and its report.
func mostProbable(ctx context.Context, name string, kind blend.Kind, e learn.Evidence) (*blend.Coating, learn.Report, error) {
	d := learn.Dataset{Shelf: []learn.ShelfCoating{{Name: name, Kind: kind, Evidence: e}}}
	samples, err := d.Draw(ctx, learn.Options{Draws: 1})
	if err != nil {
		return nil, learn.Report{}, err
	}
	return &samples.Best.Coatings[0], samples.Reports[0], nil
}

// inSpectra predicts as the program does.
type inSpectra struct{ coating *blend.Coating }

func (s inSpectra) After(ground colour.Lab, coats int) colour.Lab {
	wood := spectra.PriorSpectrum(ground)
	after := s.coating.Over(&wood, float64(coats))
	return after.Lab()
}
