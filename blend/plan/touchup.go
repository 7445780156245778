package plan

import (
	"context"
	"slices"

	"huewright/blend/learn"
	"huewright/colour"
)

// A TouchUp is what a filled or sanded-through spot gets before the coats, so that it meets its wood at the end: under the coats to come,
// which act on the spot as on what takes nothing up, and on its wood as they do there.
type TouchUp struct {
	Area, PartOf string
	// Mix is what to touch up with, in drops where it is stirred together; empty where nothing is needed, or nothing on the shelf helps.
	Mix []MixPart
	// Touches is how often to put it on; 0 means until the spot no longer shows through: a paint out of its tube.
	Touches int
	// Aim is the colour, dry and without the clear coat, that the spot is to have before the coats.
	Aim   colour.Lab
	Mixed colour.Lab // the colour of the spot under Mix, mended by eye if it is one; the spot as it is where Mix is empty
	// ΔE00 of the spot from its wood: as they are, with the touch-up, and at the end.
	Now, AfterTouchUp, AtEnd Spread
	Untouched                Spread     // at the end, were the spot left as it is
	MatchedNow               Spread     // at the end, were it painted to the wood's colour of today
	Lamp                     Spread     // at the end, under a filament lamp
	FirstMix                 Spread     // ΔE00 from Mixed that the first mix may dry to, as tubes differ in strength; 0 for what is not mixed
	End, WoodEnd             colour.Lab // as they will be seen
	// TooDark says that the spot ends darker than its wood as it is, and that nothing on the shelf hides it.
	TooDark bool
	Correct *Correction // of what is left at the end; nil where that passes, or nothing on the shelf helps
	Touched Area        // the spot once it is touched up, in the samples that come with it; as it is where Mix is empty
	Plan    *AreaPlan   // what the choice then lays on it

	of     int // the spot, by index
	best   *way
	onBare bool // its wood soaks up the first coat
	seals  bool // and all coats to come hold on sealed wood
}

// Needed reports whether the spot, left as it is, would be told from its wood at the end.
func (t *TouchUp) Needed() bool { return t.Untouched.Median >= colour.Perceptible }

// Unsure reports whether bare wood may soak up the first coat otherwise than is expected, so that the spot would be told from it: then the
// spot is best looked at again after that coat.
func (t *TouchUp) Unsure() bool { return t.onBare && t.AtEnd.High >= colour.Perceptible }

// SealFirst reports whether wood and spot are best sealed before anything else: sealed wood takes coats as the spot does, so that what the
// bare wood would soak up need not be known. Stains and dyes soak in, and rule it out.
func (t *TouchUp) SealFirst() bool { return t.Unsure() && t.seals }

// A Correction is touches of a coating over the spot after the last coat, and ΔE00 from the wood then.
type Correction struct {
	Coating string
	Touches int
	After   float64
}

// Figures of a touch-up. Our own choice but for worthATouch.
const (
	mostDrops     = 20 // in a mix of tubes
	mostTubes     = 6  // that mixes are made of
	tubesInMix    = 4
	mostTouches   = 3                  // of a coating that does not hide
	hidingTouches = 3                  // thin touches of paint, after which we take it to hide what it can
	touchesTried  = 12                 // ways that are judged in all samples
	worthATouch   = colour.Perceptible // ΔE00 that a touch-up must gain
	priceOfADrop  = 0.02               // ΔE00 that each drop must gain, so that a mix is of few
	lampWeight    = 0.25               // of what is left under a filament lamp, beside what is left in daylight
	mendable      = colour.Perceptible // ΔE00 that the nearest mix of its tubes may be from what it is to look like, so that it can be mended
	dabSD         = 0.5                // in each of L*, a*, b*, of a mix that was mended until a dry dab matched: that of a good reading
)

// TouchUps finds for every spot of a problem what to touch it up with before the coats of a choice: a coating of the shelf, or a mix of up
// to four tubes in whole drops. Tubes are paints that are not thinned, of which shares, as in [Mixes], says the paint's share.
//
// What is minimised is the difference at the end, in the median over the samples, with a quarter of that under a filament lamp, and a price
// for every further tube and every drop. A mix counts as mended until a dry dab looks as it is to: what is not known of the tubes is then
// known of the mix. How far the first mix may be off is told.
//
// It returns the samples too, with the colours of spots that are touched up.
func TouchUps(
	ctx context.Context, w *learn.Samples, problem Problem, choice *Choice, shares []float64,
) (all []TouchUp, with *learn.Samples, err error) {
	problem.Options.fill()
	p := newPlanner(w, &problem)
	with = &learn.Samples{Best: withColours(&w.Best), Reports: w.Reports}
	for n := range w.Drawn {
		with.Drawn = append(with.Drawn, withColours(&w.Drawn[n]))
	}
	for i := range problem.Areas {
		if problem.wood(i) == None {
			continue
		}
		s := p.spotUnder(i, choice)
		t, err := s.touchUp(ctx, shares)
		if err != nil {
			return nil, nil, err
		}
		t.of, t.Touched = i, *s.area
		if t.best != nil {
			t.Touched = s.touched
			t.Touched.Mean = len(with.Best.Colours)
			with.Best.Colours = append(with.Best.Colours, t.best.mended)
			for n := range with.Drawn {
				with.Drawn[n].Colours = append(with.Drawn[n].Colours, s.touchedIn(n, t.best))
			}
		}
		all = append(all, *t)
	}
	return all, with, planTouched(ctx, with, problem, choice, all)
}

// withColours returns a sample whose colours may be added to.
func withColours(s *learn.Sample) learn.Sample {
	other := *s
	other.Colours = slices.Clone(s.Colours)
	return other
}

// planTouched fills in what the choice lays on spots once they are touched up.
func planTouched(ctx context.Context, w *learn.Samples, problem Problem, choice *Choice, all []TouchUp) error {
	problem.Areas = slices.Clone(problem.Areas)
	for i := range all {
		problem.Areas[all[i].of] = all[i].Touched
	}
	p := newPlanner(w, &problem)
	for i := range all {
		t := &all[i]
		to := choice.Areas[t.of]
		t.Plan = &to
		if t.best == nil {
			continue
		}
		on := make([]layers, len(problem.Areas))
		for _, k := range []int{t.of, problem.wood(t.of)} {
			on[k] = p.layersOf(choice, k)
		}
		if err := p.walk(ctx, &to, t.of, on, p.place(to.OneMore.Coating)); err != nil {
			return err
		}
		off, err := p.apartBySample(ctx, t.of, problem.wood(t.of), on)
		if err != nil {
			return err
		}
		to.Before, to.Within = choice.Areas[t.of].Before, share(off, problem.Options.Tolerance)
	}
	return nil
}
