package learn

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/colour"
	"huewright/internal/fault"
)

func testCoat(c *blend.Coating, ground colour.Lab, coats float64) TestCoat {
	return TestCoat{Ground: Measured{Lab: ground}, Result: Measured{Lab: blendtest.ColourOver(c, ground, coats)}, Coats: coats, Even: true}
}

func chipOf(c *blend.Coating) *Measured {
	limit := c.Limit()
	return &Measured{Lab: limit.Lab()}
}

// learn returns the most probable coating and its report.
func learn(ctx context.Context, name string, kind blend.Kind, e Evidence) (*blend.Coating, Report, error) {
	return learnDataset(ctx, Dataset{Shelf: []ShelfCoating{{Name: name, Kind: kind, Evidence: e}}})
}

func learnDataset(ctx context.Context, d Dataset) (*blend.Coating, Report, error) {
	f, err := d.solve(ctx)
	if err != nil {
		return nil, Report{}, err
	}
	r := f.reports[0]
	c := r.at.coating(d.Shelf[0].Name, d.Shelf[0].Kind, d.Shelf[0].PutOn)
	return &c, r, nil
}

func TestLearnForeseesOtherCoatsAndWoods(t *testing.T) {
	e := Evidence{Chip: chipOf(blendtest.RedWash), Tests: []TestCoat{
		testCoat(blendtest.RedWash, blendtest.Ash, 1), testCoat(blendtest.RedWash, blendtest.Walnut, 1)}}
	learned, report, err := learn(t.Context(), "red-brown wash", "wash", e)
	require.NoError(t, err)
	require.Empty(t, report.Warnings)
	require.Len(t, report.residuals, 3)
	for _, r := range report.residuals {
		require.Less(t, r.deltaE, 0.5, "test coat %d", r.test)
	}
	for _, wood := range []colour.Lab{blendtest.Ash, blendtest.Oak, blendtest.Sapele, blendtest.Walnut} {
		for _, n := range []float64{2, 3, 5} {
			off := colour.DeltaE2000(blendtest.ColourOver(blendtest.RedWash, wood, n), blendtest.ColourOver(learned, wood, n))
			require.Less(t, off, 2.0, "%v coats on %v", n, wood)
		}
	}
}

// The strength of the test's mix and its count of coats are one thing: two coats of half
// strength are one of full strength.
func TestLearnCountsStrengthAsCoats(t *testing.T) {
	one := testCoat(blendtest.RedWash, blendtest.Ash, 1)
	two := one
	two.Coats, two.Share = 2, 0.5
	a, _, err := learn(t.Context(), "a", "wash", Evidence{Tests: []TestCoat{one}})
	require.NoError(t, err)
	b, _, err := learn(t.Context(), "b", "wash", Evidence{Tests: []TestCoat{two}})
	require.NoError(t, err)
	require.Equal(t, a.Films, b.Films)
	half := a.Strength(0.5)
	require.InDelta(t, blendtest.ColourOver(a, blendtest.Oak, 1).L, blendtest.ColourOver(half, blendtest.Oak, 2).L, 1e-9)
}

// More evidence never makes the learner less sure, and worse readings never make it surer.
func TestLearnKnowsHowSureItIs(t *testing.T) {
	chip := chipOf(blendtest.RedWash)
	pale, dark := testCoat(blendtest.RedWash, blendtest.Ash, 1), testCoat(blendtest.RedWash, blendtest.Walnut, 1)
	radius := func(e Evidence) float64 {
		_, report, err := learn(t.Context(), "w", "wash", e)
		require.NoError(t, err)
		return report.PlusMinus(blendtest.Oak, 3)
	}
	chipOnly := radius(Evidence{Chip: chip})
	oneCoat := radius(Evidence{Chip: chip, Tests: []TestCoat{pale}})
	both := radius(Evidence{Chip: chip, Tests: []TestCoat{pale, dark}})
	require.Greater(t, chipOnly, oneCoat)
	require.Greater(t, oneCoat, both)
	t.Logf("95 %% radius after 3 coats on oak: chip %.1f, and a coat on ash %.1f, and on walnut %.1f", chipOnly, oneCoat, both)

	phone := pale
	phone.Ground.PlusMinus, phone.Result.PlusMinus = 3, 3
	own := radius(Evidence{Chip: chip, Tests: []TestCoat{phone}})
	phone.Ground.Photo, phone.Result.Photo = "front", "front"
	shared := radius(Evidence{Chip: chip, Tests: []TestCoat{phone}})
	require.Greater(t, shared, oneCoat)
	require.Greater(t, own, shared)
}

// What no film can make: a coat that lightens a wood though its chip is much darker; two woods
// that change places. The prediction lies between, and must not be sure.
func TestLearnIsUnsureOfContradictions(t *testing.T) {
	dark := &Measured{Lab: colour.Lab{L: 25, A: 10, B: 10}}
	on := func(ground, result colour.Lab) TestCoat {
		return TestCoat{Ground: Measured{Lab: ground}, Result: Measured{Lab: result}, Coats: 1}
	}
	for name, e := range map[string]Evidence{
		"a dark paint that lightens": {Chip: dark, Tests: []TestCoat{on(blendtest.Walnut, colour.Lab{L: 60, A: 6, B: 14})}},
		"woods that change places": {Tests: []TestCoat{
			on(blendtest.Ash, colour.Lab{L: 50, A: 2, B: 10}), on(blendtest.Walnut, colour.Lab{L: 65, A: 2, B: 9})}},
	} {
		_, report, err := learn(t.Context(), "w", "wash", e)
		require.NoError(t, err, name)
		require.NotEmpty(t, report.Warnings, name)
		for i, test := range e.Tests {
			last := report.residuals[len(report.residuals)-len(e.Tests)+i]
			radius := report.PlusMinus(test.Ground.Lab, 1)
			require.GreaterOrEqual(t, radius, colour.DeltaE2000(last.measured, last.predicted), "%s: %d", name, last.test)
		}
	}
}

// A phone's ±3, shared by all readings of a photo, must not drown what one test coat says.
func TestLearnFollowsAPhone(t *testing.T) {
	e := Evidence{Tests: []TestCoat{testCoat(blendtest.RedWash, blendtest.Ash, 1)}}
	e.Tests[0].Ground.PlusMinus, e.Tests[0].Result.PlusMinus = 3, 3
	e.Tests[0].Ground.Photo, e.Tests[0].Result.Photo = "front", "front"
	_, report, err := learn(t.Context(), "w", "wash", e)
	require.NoError(t, err)
	require.Less(t, report.residuals[0].deltaE, 1.0)
}

func TestLearnWarns(t *testing.T) {
	same := testCoat(blendtest.RedWash, blendtest.Ash, 1)
	same.Result = same.Ground
	darker, lighter := testCoat(blendtest.RedWash, blendtest.Ash, 1), testCoat(blendtest.RedWash, blendtest.Ash, 1)
	lighter.Result.Lab = colour.Lab{L: 84, A: 2, B: 12}
	odd := testCoat(blendtest.RedWash, blendtest.Walnut, 1)
	odd.Result.Lab = colour.Lab{L: 60, A: -20, B: 30}
	for name, c := range map[string]struct {
		evidence Evidence
		want     fault.Note
	}{
		"chip alone":     {Evidence{Chip: chipOf(blendtest.RedWash)}, fault.Say("learn.chip-only")},
		"one ground":     {Evidence{Tests: []TestCoat{darker}}, fault.Say("learn.one-ground")},
		"nothing seen":   {Evidence{Tests: []TestCoat{same}}, fault.Say("learn.nothing-seen", "nr", 1)},
		"contradiction":  {Evidence{Tests: []TestCoat{darker, lighter}}, fault.Say("learn.contradiction", "first", 1, "second", 2)},
		"does not agree": {Evidence{Chip: chipOf(blendtest.RedWash), Tests: []TestCoat{darker, odd}}, fault.Say("learn.odd-test", "nr", 2)},
	} {
		_, report, err := learn(t.Context(), "wash", "wash", c.evidence)
		require.NoError(t, err, name)
		found := false
		for _, w := range report.Warnings {
			delete(w.Values, "difference")
			found = found || w.Equal(c.want)
		}
		require.True(t, found, "%s: %q", name, report.Warnings)
	}
}

func TestLearnRefuses(t *testing.T) {
	good := testCoat(blendtest.RedWash, blendtest.Ash, 1)
	with := func(change func(*TestCoat)) Evidence {
		bad := good
		change(&bad)
		return Evidence{Tests: []TestCoat{good, bad}}
	}
	for _, c := range []struct {
		code     fault.Code
		evidence Evidence
	}{
		{"learn.nothing-known", Evidence{}},
		{"learn.bad-coats", with(func(t *TestCoat) { t.Coats = 0 })},
		{"learn.bad-coats", with(func(t *TestCoat) { t.Coats = -1 })},
		{"learn.bad-coats", with(func(t *TestCoat) { t.Coats = math.NaN() })},
		{"learn.bad-strength", with(func(t *TestCoat) { t.Share = -0.5 })},
		{"learn.bad-ground", with(func(t *TestCoat) { t.Ground.Lab.A = math.NaN() })},
		{"learn.bad-result", with(func(t *TestCoat) { t.Result.Lab.L = 130 })},
		{"learn.bad-result", with(func(t *TestCoat) { t.Result.PlusMinus = -1 })},
		{"learn.bad-chip", Evidence{Chip: &Measured{Lab: colour.Lab{L: 50, A: 300}}}},
	} {
		_, _, err := learn(t.Context(), "my wash", "wash", c.evidence)
		blendtest.RequireFault(t, err, c.code)
		require.Equal(t, "my wash", fault.Of(err).Place.Area)
	}
	_, _, err := learn(t.Context(), "my wash", "varnishish", Evidence{Tests: []TestCoat{good}})
	blendtest.RequireFault(t, err, "learn.choice")
}

// Whatever evidence is possible gives finite films.
func FuzzLearn(f *testing.F) {
	f.Add(78.0, 4.0, 19.0, 60.0, 14.0, 22.0, 1.0)
	f.Add(0.0, 0.0, 0.0, 100.0, 0.0, 0.0, 1000.0)
	f.Add(50.0, 90.0, -90.0, 50.0, -90.0, 90.0, 1e-3)
	f.Fuzz(func(t *testing.T, l1, a1, b1, l2, a2, b2, coats float64) {
		e := Evidence{Tests: []TestCoat{{
			Ground: Measured{Lab: colour.Lab{L: l1, A: a1, B: b1}},
			Result: Measured{Lab: colour.Lab{L: l2, A: a2, B: b2}},
			Coats:  coats,
		}}}
		e.Chip = &e.Tests[0].Result
		learned, report, err := learn(t.Context(), "any", "glaze", e)
		if err != nil {
			blendtest.RequireFault(t, err, "")
			return
		}
		require.True(t, report.residuals[1].predicted.IsFinite())
		require.True(t, blendtest.ColourOver(learned, blendtest.Oak, 3).IsFinite())
	})
}

func BenchmarkLearn(b *testing.B) {
	e := Evidence{Chip: chipOf(blendtest.RedWash)}
	for _, wood := range []colour.Lab{blendtest.Ash, blendtest.Walnut} {
		e.Tests = append(e.Tests, testCoat(blendtest.RedWash, wood, 1), testCoat(blendtest.RedWash, wood, 2))
	}
	for b.Loop() {
		if _, _, err := learn(b.Context(), "w", "wash", e); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "coatings/s")
}
