package learn

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	gonumstat "gonum.org/v1/gonum/stat"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/figure"
	"huewright/internal/stat"
)

// A mixScore is how far predicted mixtures are from measured ones.
type mixScore struct {
	off   []float64
	holds float64 // 90 % regions
	says  bool    // it has regions
}

func (s *mixScore) add(predicted, truth colour.Lab, drawn []colour.Lab) {
	s.off = append(s.off, colour.DeltaE2000(predicted, truth))
	if drawn == nil {
		return
	}
	s.says = true
	var mean colour.Lab
	share := 1 / float64(len(drawn))
	for _, d := range drawn {
		mean.L, mean.A, mean.B = mean.L+share*d.L, mean.A+share*d.A, mean.B+share*d.B
	}
	var apart []float64
	for _, d := range drawn {
		apart = append(apart, colour.DeltaE2000(mean, d))
	}
	if colour.DeltaE2000(mean, truth) <= stat.Quantile(apart, 0.9) {
		s.holds++
	}
}

func (s *mixScore) median() float64 { return stat.Quantile(s.off, 0.5) }

func (s *mixScore) String() string {
	within := 0.0
	for _, d := range s.off {
		if d <= 4 {
			within++
		}
	}
	n := float64(len(s.off))
	text := fmt.Sprintf("%.1f, %.0f %% within 4", s.median(), 100*within/n)
	if s.says {
		text += fmt.Sprintf(", regions %.0f %%", 100*s.holds/n)
	}
	return text
}

// A mixBench holds the measured paints and the mixtures that were weighed out of them.
type mixBench struct {
	chips    map[string]spectra.Spectrum
	mixtures []blendtest.Mixture
}

func newMixBench(t testing.TB) *mixBench {
	p := blendtest.ReadPalette(t)
	b := &mixBench{map[string]spectra.Spectrum{}, p.Mixtures(t)}
	for _, m := range b.mixtures {
		for _, sample := range []string{m.Name, m.Of, m.And} {
			s, ok := p.Chip(sample)
			require.True(t, ok, sample)
			b.chips[sample] = s
		}
	}
	return b
}

// pairs are mixtures of the same two paints in other parts: the first is smeared, and the second predicted.
func (b *mixBench) pairs() (all [][2]blendtest.Mixture) {
	for _, smeared := range b.mixtures {
		for _, m := range b.mixtures {
			if m.Name != smeared.Name && m.Of == smeared.Of && m.And == smeared.And {
				all = append(all, [2]blendtest.Mixture{smeared, m})
			}
		}
	}
	return all
}

func (b *mixBench) lab(sample string) colour.Lab {
	s := b.chips[sample]
	return s.Lab()
}

// read returns a reading of a chip, with the noise of a good one.
func (b *mixBench) read(sample string) *Measured {
	rng := rand.New(rand.NewPCG(1948, SeedOf(sample)))
	off := func() float64 { return goodReadingSD * rng.NormFloat64() }
	c := b.lab(sample)
	return &Measured{Lab: colour.Lab{L: min(max(c.L+off(), 0), 100), A: c.A + off(), B: c.B + off()}}
}

// shelf are the two paints of a mixture by their chips, and another mixture of them by a smear, where it has a name. Shares by weight stand
// for shares by volume: what densities add is a small part of what strengths are unsure by.
func (b *mixBench) shelf(m, smeared blendtest.Mixture) (all []ShelfCoating) {
	for _, sample := range []string{m.Of, m.And} {
		all = append(all, ShelfCoating{Name: sample, Kind: "paint", Evidence: Evidence{Chip: b.read(sample)}})
	}
	if smeared.Name != "" {
		all = append(all, ShelfCoating{Name: smeared.Name, Kind: "paint", Evidence: Evidence{Chip: b.read(smeared.Name)},
			Parts: []MixedPart{{m.Of, smeared.Share}, {m.And, 1 - smeared.Share}}})
	}
	return all
}

// A mixPrediction is the most probable colour of a mixture, and draws of it.
type mixPrediction struct {
	best  colour.Lab
	drawn []colour.Lab
}

// predict predicts a mixture from its paints. smeared, where it has a name, has been seen.
func (b *mixBench) predict(t testing.TB, m, smeared blendtest.Mixture) (p mixPrediction) {
	d := Dataset{Shelf: b.shelf(m, smeared)}
	w, err := d.Draw(t.Context(), Options{})
	require.NoError(t, err)
	mixed := func(s *Sample) colour.Lab {
		of, _ := s.StrengthInMix(0)
		and, _ := s.StrengthInMix(1)
		limit := blend.Mix("", "paint", blend.Part{Coating: &s.Coatings[0], Parts: m.Share * of},
			blend.Part{Coating: &s.Coatings[1], Parts: (1 - m.Share) * and}).Limit()
		return limit.Lab()
	}
	for i := range w.Drawn {
		p.drawn = append(p.drawn, mixed(&w.Drawn[i]))
	}
	p.best = mixed(&w.Best)
	return p
}

// average returns the colour of a mixture whose K/S, in each band, or L*, a*, b* are the mean of its paints' by weight.
func (b *mixBench) average(m blendtest.Mixture) (byKS, byLab colour.Lab) {
	of, and := b.chips[m.Of], b.chips[m.And]
	var s spectra.Spectrum
	ks := func(r float64) float64 { return (1 - r) * (1 - r) / (2 * r) }
	for i := range s {
		s[i] = blend.Film{K: m.Share*ks(of[i]) + (1-m.Share)*ks(and[i]), S: 1}.Limit()
	}
	x, y := of.Lab(), and.Lab()
	mean := func(a, b float64) float64 { return m.Share*a + (1-m.Share)*b }
	return s.Lab(), colour.Lab{L: mean(x.L, y.L), A: mean(x.A, y.A), B: mean(x.B, y.B)}
}

// TestMixturesFromTheirPaints predicts mixtures that were weighed and measured, from the colours of their paints alone, and after a
// smear of a mixture of the same paints in other parts. Beside it: K/S in each band, and L*, a*, b*, averaged by the parts, and the former
// with what it was off by at the smear added. Run it with -v for the table.
func TestMixturesFromTheirPaints(t *testing.T) {
	b := newMixBench(t)
	var alone, ks, lab, pairAlone, pairKS, shifted, smeared mixScore
	before := map[string]mixPrediction{}
	for _, m := range b.mixtures {
		p, truth := b.predict(t, m, blendtest.Mixture{}), b.lab(m.Name)
		before[m.Name] = p
		byKS, byLab := b.average(m)
		alone.add(p.best, truth, p.drawn)
		ks.add(byKS, truth, nil)
		lab.add(byLab, truth, nil)
		t.Logf("%s, %.3f of %s in %s: from chips alone off by %.1f, by K/S %.1f", m.Name, m.Share, m.Of, m.And,
			colour.DeltaE2000(p.best, truth), colour.DeltaE2000(byKS, truth))
	}
	for _, pair := range b.pairs() {
		m, seen, truth := pair[1], b.read(pair[0].Name).Lab, b.lab(pair[1].Name)
		p, chips := b.predict(t, m, pair[0]), before[m.Name]
		byKS, _ := b.average(m)
		there, _ := b.average(pair[0])
		smeared.add(p.best, truth, p.drawn)
		pairAlone.add(chips.best, truth, chips.drawn)
		pairKS.add(byKS, truth, nil)
		shifted.add(colour.Lab{L: byKS.L + seen.L - there.L, A: byKS.A + seen.A - there.A, B: byKS.B + seen.B - there.B}, truth, nil)
		t.Logf("%s after a smear of %s: off by %.1f, from chips alone %.1f", m.Name, pair[0].Name, colour.DeltaE2000(p.best, truth),
			colour.DeltaE2000(chips.best, truth))
	}
	for key, s := range map[string]*mixScore{"chips alone": &alone, "K/S averaged": &ks, "Lab averaged": &lab,
		"in other parts/smear":       &smeared,
		"in other parts/chips alone": &pairAlone, "in other parts/K/S averaged": &pairKS, "in other parts/K/S and shift": &shifted} {
		figure.Report(t, "mixtures/"+key, "%v of %d", s, len(s.off))
	}
	require.Less(t, alone.median(), lab.median())
	require.Less(t, smeared.median(), shifted.median())
	require.Less(t, smeared.median(), pairKS.median()/2)
	require.GreaterOrEqual(t, smeared.holds/float64(len(smeared.off)), 0.7)
}

// TestStrengthRisesWithRatio fits what the strength of a paint in a mixture rises by with its K/S, on all mixtures but those of one family
// of paints, and all families in turn: the factor that brings the mixture nearest to what was measured, the paints known by their chips.
func TestStrengthRisesWithRatio(t *testing.T) {
	b := newMixBench(t)
	type row struct {
		family          string
		ratio, strength float64 // of the one paint over the other, logarithms
	}
	var rows []row
	for _, m := range b.mixtures {
		d := Dataset{Shelf: b.shelf(m, blendtest.Mixture{})}
		w, err := d.Draw(t.Context(), Options{Draws: 1})
		require.NoError(t, err)
		of, and := &w.Best.Coatings[0], &w.Best.Coatings[1]
		best, at := math.Inf(1), 0.0
		for x := -6.0; x <= 6; x += 0.05 {
			limit := blend.Mix("", "paint", blend.Part{Coating: of, Parts: m.Share * math.Exp(x)},
				blend.Part{Coating: and, Parts: 1 - m.Share}).Limit()
			if d := colour.DeltaE2000(limit.Lab(), b.lab(m.Name)); d < best {
				best, at = d, x
			}
		}
		ratio := (w.Best.strengths[0].expected - w.Best.strengths[1].expected) / strengthByRatio
		rows = append(rows, row{m.Name[:2], ratio, at})
		t.Logf("%s: log K/S %+.1f apart, log strength %+.2f, then off by %.1f ΔE00", m.Name, ratio, at, best)
	}
	slope := func(without string) float64 {
		square, product := 0.0, 0.0
		for _, r := range rows {
			if r.family != without {
				square, product = square+r.ratio*r.ratio, product+r.ratio*r.strength
			}
		}
		return product / square
	}
	left := 0.0
	for _, r := range rows {
		by := slope(r.family)
		require.InDelta(t, strengthByRatio, by, 0.1, "without family %s", r.family)
		d := r.strength - by*r.ratio
		left += d * d
	}
	each := math.Sqrt(left / float64(2*len(rows)))
	t.Logf("n = %d: %.2f; beside it each paint ±%.2f, families left out in turn", len(rows), slope(""), each)
	require.InDelta(t, strengthSD, each, 0.3)
}

// What a mix predicts, by small steps of every unknown: of its paints, of their strengths, and of their densities where it was weighed.
func TestMixtureSlopes(t *testing.T) {
	chip := func(c colour.Lab) Evidence { return Evidence{Chip: &Measured{Lab: c}} }
	for _, weighed := range []bool{false, true} {
		mixed := ShelfCoating{Name: "mix", Kind: "paint", Evidence: chip(blendtest.Sapele), Weighed: weighed, Share: 0.5,
			Parts: []MixedPart{{"white", 5}, {"umber", 1}}}
		mixed.Evidence.Tests = []TestCoat{testCoat(blendtest.RedWash, blendtest.Oak, 1)}
		d := Dataset{Shelf: []ShelfCoating{{Name: "umber", Kind: "paint", Evidence: chip(blendtest.Walnut), Share: 0.25}, mixed,
			{Name: "white", Kind: "paint", Evidence: chip(colour.Lab{L: 95})}}}
		f, err := d.solve(t.Context())
		require.NoError(t, err)
		require.Len(t, f.mixed.seen, 2)
		at := slices.Clone(f.posterior.at)
		from := f.offsets[len(f.componentIndex)+1]
		for i := range f.mixed.size() {
			at[from+i] += 0.3 - 0.2*float64(i)
		}
		row := func() *[3][]float64 {
			return &[3][]float64{make([]float64, f.size), make([]float64, f.size), make([]float64, f.size)}
		}
		slopes := row()
		for i := range f.mixed.seen {
			f.mixed.predict(i, at, slopes, 0)
			for k := range at {
				const h = 1e-5
				up, down := slices.Clone(at), slices.Clone(at)
				up[k] += h
				down[k] -= h
				more, less := f.mixed.predict(i, up, row(), 0), f.mixed.predict(i, down, row(), 0)
				for axis := range 3 {
					require.InDelta(t, (more[axis]-less[axis])/(2*h), slopes[axis][k], 1e-5, "unknown %d", k)
				}
			}
		}
	}
}

// A smear that is darker than its paints let expect makes the dark one stronger and the white one weaker, whatever the order of the shelf.
// A mix that was weighed tells less of parts by volume.
func TestSmearTellsStrengths(t *testing.T) {
	chip := func(c colour.Lab) Evidence { return Evidence{Chip: &Measured{Lab: c}} }
	white := ShelfCoating{Name: "white", Kind: "paint", Evidence: chip(colour.Lab{L: 95, B: 3})}
	umber := ShelfCoating{Name: "umber", Kind: "paint", Evidence: chip(colour.Lab{L: 35, A: 8, B: 12})}
	other := ShelfCoating{Name: "other", Kind: "paint", Evidence: chip(colour.Lab{L: 60, A: 8, B: 42})}
	strengths := func(weighed bool, l float64) (umberBy, sd float64) {
		mix := ShelfCoating{Name: "mix", Kind: "paint", Evidence: chip(colour.Lab{L: l, A: 5, B: 10}), Weighed: weighed,
			Parts: []MixedPart{{"umber", 1}, {"white", 5}}}
		var by [2]float64
		for i, shelf := range [][]ShelfCoating{{white, umber, other, mix}, {mix, other, umber, white}} {
			w, err := (&Dataset{Shelf: shelf}).Draw(t.Context(), Options{Draws: 64})
			require.NoError(t, err)
			at := func(name string) int {
				return slices.IndexFunc(shelf, func(k ShelfCoating) bool { return k.Name == name })
			}
			relative := func(s *Sample) float64 {
				return s.strengths[at("umber")].own - s.strengths[at("white")].own
			}
			by[i] = relative(&w.Best)
			var all []float64
			for n := range w.Drawn {
				all = append(all, relative(&w.Drawn[n]))
			}
			sd = gonumstat.StdDev(all, nil)
			_, told := w.Best.StrengthInMix(at("white"))
			require.True(t, told)
			_, told = w.Best.StrengthInMix(at("other"))
			require.False(t, told)
		}
		require.InDelta(t, by[0], by[1], 1e-3, "whatever the order")
		return by[0], sd
	}
	dark, byVolume := strengths(false, 45)
	pale, _ := strengths(false, 80)
	_, byWeight := strengths(true, 45)
	require.Greater(t, dark, pale+1)
	require.Greater(t, byWeight, byVolume)
	require.Less(t, byVolume, strengthSD*math.Sqrt2)
}

func TestMixesThatCannotBe(t *testing.T) {
	chip := Evidence{Chip: &Measured{Lab: blendtest.Oak}}
	for _, parts := range [][]MixedPart{{{"nothing", 1}, {"a", 1}}, {{"a", 1}, {"a", 2}}, {{"a", 1}, {"mix", 1}}, {{"a", 0}, {"b", 1}},
		{{"a", math.NaN()}, {"b", 1}}, {{"a", math.Inf(1)}, {"b", 1}}} {
		d := Dataset{Shelf: []ShelfCoating{{Name: "a", Kind: "paint", Evidence: chip}, {Name: "b", Kind: "paint", Evidence: chip},
			{Name: "mix", Kind: "paint", Evidence: chip, Parts: parts}}}
		_, err := d.Draw(t.Context(), Options{Draws: 1})
		blendtest.RequireFault(t, err, "learn.bad-part")
	}
}
