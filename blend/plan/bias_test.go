package plan

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/figure"
)

// outcomesOf lays coats on pieces with a hand that leaves exp(film) times what was predicted, and is
// off in all else by variability times what the stated radius lets expect.
func outcomesOf(rng *rand.Rand, pieces int, film, variability float64) (all []learn.Outcome) {
	const radius = 3.0
	for p := range pieces {
		board := film + boardToPiece*rng.NormFloat64()
		for a := range 2 {
			before := colour.Lab{L: 70 - 20*float64(a), A: 8, B: 22}
			step := [3]float64{-8, 2, 3}
			o := learn.Outcome{Piece: fmt.Sprint("piece ", p), Area: fmt.Sprint("area ", a), Coats: 2, Step: step, PlusMinus: radius}
			for i := range o.Residual {
				o.Residual[i] = 2 * board * step[i]
				o.Residual[i] += variability * radius / 2.8 * rng.NormFloat64() * 0.7
			}
			o.DeltaE = colour.DeltaE2000(before, colour.Lab{L: before.L + o.Residual[0], A: before.A + o.Residual[1], B: before.B + o.Residual[2]})
			all = append(all, o)
		}
	}
	return all
}

func TestBiasIsFound(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	require.Equal(t, learn.Bias{}, learn.BiasOf(nil))
	heavy := learn.BiasOf(outcomesOf(rng, 40, 0.2, 0.3))
	require.InDelta(t, 0.2, heavy.Film, 0.05)
	require.Zero(t, heavy.Wider, "what is off is the film, and that is allowed for")
	light := learn.BiasOf(outcomesOf(rng, 40, -0.2, 0.3))
	require.InDelta(t, -0.2, light.Film, 0.05)
	few := 0.0
	for range 100 {
		few += learn.BiasOf(outcomesOf(rng, 1, 0.2, 0.3)).Film / 100
	}
	require.Less(t, few, 0.15, "one piece changes less")
	require.Greater(t, few, 0.05)
	wild := learn.BiasOf(outcomesOf(rng, 40, 0, 3))
	require.Greater(t, wild.Wider, 1.5)
	require.Less(t, learn.BiasOf(outcomesOf(rng, 2, 0, 3)).Wider, wild.Wider, "few pieces change little")
}

// A heavy hand needs fewer coats, and one whose outcomes vary more has wider ranges.
func TestBiasChangesPlans(t *testing.T) {
	paint := &blend.Coating{Name: "wash", Kind: "wash", Films: filmsOf(0.12, 0.05), Uptake: 1, PorousUptake: 1}
	wood := colour.Lab{L: 75, A: 5, B: 22}
	over := func(coats float64) colour.Lab {
		ground := spectra.Smoothest(wood)
		s := paint.Over(&ground, coats)
		return s.Lab()
	}
	dataset := func(h learn.Bias) *learn.Dataset {
		limit := paint.Limit()
		chip := learn.Measured{Lab: limit.Lab()}
		return &learn.Dataset{
			Shelf: []learn.ShelfCoating{{Name: "wash", Kind: "wash", Evidence: learn.Evidence{Chip: &chip, Tests: []learn.TestCoat{
				{Ground: learn.Measured{Lab: wood}, Result: learn.Measured{Lab: over(1)}, Coats: 1},
			}}}},
			Colours: []learn.Measured{{Lab: wood}, {Lab: over(5)}},
			Bias:    h,
		}
	}
	plan := func(h learn.Bias) AreaPlan {
		samples, err := dataset(h).Draw(t.Context(), learn.Options{})
		require.NoError(t, err)
		p, err := Make(t.Context(), samples, Problem{Options: Options{Price: littlePrice},
			Areas: []Area{{Name: "frame", Surface: blend.Sealed, Mean: 0, Light: None,
				Dark: None, Target: 1}}})
		require.NoError(t, err)
		return p.Choices[0].Areas[0]
	}
	usual, heavy, wild := plan(learn.Bias{}), plan(learn.Bias{Film: 0.35}), plan(learn.Bias{Wider: 2})
	require.Less(t, coatsOf(heavy), coatsOf(usual))
	require.Greater(t, wild.Path[2].PlusMinus, 1.5*usual.Path[2].PlusMinus)
	width := func(p AreaPlan) int { return p.Coats[0].Range[1] - p.Coats[0].Range[0] }
	require.Greater(t, width(wild), width(usual))
	_, err := dataset(learn.Bias{Film: math.NaN()}).Draw(t.Context(), learn.Options{})
	require.Error(t, err)
}

func coatsOf(p AreaPlan) (n int) {
	for _, c := range p.Coats {
		n += c.Count
	}
	return n
}

// filmsOf is a brown wash: it absorbs most where the wavelength is short.
func filmsOf(k, s float64) (films [spectra.Bands]blend.Film) {
	for i := range films {
		films[i] = blend.Film{K: k * (1.6 - 1.2*float64(i)/spectra.Bands), S: s}
	}
	return films
}

// What was learned on earlier pieces counts, and less than what is learned on this one.
func TestEarlierCoatsAreWeakEvidence(t *testing.T) {
	paint := &blend.Coating{Name: "wash", Kind: "wash", Films: filmsOf(0.12, 0.05), Uptake: 1, PorousUptake: 1}
	pale, dark := colour.Lab{L: 75, A: 5, B: 22}, colour.Lab{L: 45, A: 16, B: 20}
	after := func(c colour.Lab, n float64) colour.Lab {
		ground := spectra.Smoothest(c)
		s := paint.Over(&ground, n)
		return s.Lab()
	}
	radius := func(from learn.Provenance) float64 {
		e := learn.Evidence{}
		for _, wood := range []colour.Lab{pale, dark} {
			e.Tests = append(e.Tests, learn.TestCoat{
				Ground: learn.Measured{Lab: wood, Earlier: from != learn.OfThisPiece,
					Photo: "x"}, Result: learn.Measured{Lab: after(wood, 1), Earlier: from != learn.OfThisPiece, Photo: "x"},
				Coats: 1, From: from,
			})
		}
		learned, report, err := mostProbable(t.Context(), "wash", "wash", e)
		require.NoError(t, err)
		ground := spectra.Smoothest(pale)
		predicted := learned.Over(&ground, 2)
		require.Less(t, colour.DeltaE2000(after(pale, 2), predicted.Lab()), 1.0, "%q", from)
		return report.PlusMinus(pale, 2)
	}
	here, same, another := radius(learn.OfThisPiece), radius(learn.OfSameBatch), radius(learn.OfAnotherBatch)
	require.Less(t, here, same)
	require.Less(t, same, another)
	_, _, err := mostProbable(t.Context(), "wash", "wash",
		learn.Evidence{Tests: []learn.TestCoat{{Ground: learn.Measured{Lab: pale}, Result: learn.Measured{Lab: pale}, Coats: 1,
			From: "hearsay"}}})
	require.Error(t, err)
}

// TestBiasMakesPredictionsHold gives a log to somebody who lays coats a quarter too thick, and less
// evenly than most: what is predicted of further pieces is then less off, and holds more often.
func TestBiasMakesPredictionsHold(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 4))
	paint := &blend.Coating{Name: "wash", Kind: "wash", Films: filmsOf(0.12, 0.05), Uptake: 1, PorousUptake: 1}
	limit := paint.Limit()
	chip := learn.Measured{Lab: limit.Lab()}
	noisy := func(c colour.Lab) learn.Measured {
		const sd = 0.4
		return learn.Measured{Lab: colour.Lab{L: c.L + sd*rng.NormFloat64(), A: c.A + sd*rng.NormFloat64(), B: c.B + sd*rng.NormFloat64()}}
	}
	// piece lays a test coat, and 2 coats on the piece with that hand, and returns what was predicted of
	// those and what was measured.
	piece := func(n int, h learn.Bias) learn.Outcome {
		wood := colour.Lab{L: 45 + 35*rng.Float64(), A: 4 + 10*rng.Float64(), B: 18 + 8*rng.Float64()}
		ground := spectra.Smoothest(wood)
		after := func(film float64) colour.Lab {
			s := paint.Over(&ground, film)
			return s.Lab()
		}
		hand := func() float64 { return math.Exp(0.15 * rng.NormFloat64()) }
		result := noisy(after(hand()))
		on := noisy(wood)
		s := &learn.Dataset{
			Shelf: []learn.ShelfCoating{{Name: "wash", Kind: "wash",
				Evidence: learn.Evidence{Chip: &chip, Tests: []learn.TestCoat{{Ground: on, Result: result, Coats: 1}}}}},
			Colours: []learn.Measured{on}, Bias: h,
		}
		samples, err := s.Draw(t.Context(), learn.Options{})
		require.NoError(t, err)
		expected, err := Expect(t.Context(), samples, Area{Name: "frame", Surface: blend.Sealed, Light: None, Dark: None,
			Target: None}, []Layer{{Coats: 2}})
		require.NoError(t, err)
		e := expected[len(expected)-1]
		board := math.Exp(0.25 + 0.25*rng.NormFloat64())
		seen := noisy(after(board * (hand() + hand()))).Lab
		return learn.Outcome{
			Piece: fmt.Sprint(n), Area: "frame", Coats: 2, Step: [3]float64{e.Step.L, e.Step.A, e.Step.B},
			Residual: labDifference(seen, e.Lab), PlusMinus: math.Hypot(e.PlusMinus, 1), DeltaE: colour.DeltaE2000(e.Lab, seen),
		}
	}
	const logged = 15
	further := figure.Draws(50, 150)
	var log []learn.Outcome
	for n := range logged {
		log = append(log, piece(n, learn.Bias{}))
	}
	bias := learn.BiasOf(log)
	held := func(h learn.Bias) (deltaE float64, share float64) {
		for n := range further {
			o := piece(n, h)
			deltaE += o.DeltaE / float64(further)
			if o.DeltaE <= o.PlusMinus {
				share += 1 / float64(further)
			}
		}
		return deltaE, share
	}
	before, heldBefore := held(learn.Bias{})
	after, heldAfter := held(bias)
	t.Logf("from %d pieces: film %.2f (0.25 is true), ranges %.2f times as wide; predicted of %d more: off by %.2f ΔE00, within "+
		"the 95 %% radius %.0f %%; without the log %.2f and %.0f %%",
		logged, bias.Film, max(1, bias.Wider), further, after, 100*heldAfter, before, 100*heldBefore)
	figure.Report(t, "habit/off by", "%.2f instead of %.2f ΔE00", after, before)
	figure.Report(t, "habit/within the radius", "%.0f instead of %.0f %%", 100*heldAfter, 100*heldBefore)
	require.Less(t, after, before)
	require.Greater(t, heldAfter, heldBefore)
	figure.AtLeast(t, 0.90, heldAfter, float64(further))
}
