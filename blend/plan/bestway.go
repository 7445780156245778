package plan

import (
	"context"
	"slices"

	"huewright/blend"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/parallel"
)

// touchUp finds the best way for a spot, and says what comes of it.
func (s *spot) touchUp(ctx context.Context, shares []float64) (*TouchUp, error) {
	t := &TouchUp{onBare: s.wood.Surface.Absorbs() && len(s.wood.Laid) == 0 && len(s.coats) > 0, Area: s.area.Name, PartOf: s.wood.Name,
		Aim: s.aim(s.best.sample.Colours[s.wood.Mean].Lab()), seals: s.holdsOnSealed()}
	draws := len(s.drawn)
	wood, untouched := make([]seenEnd, draws), make([]seenEnd, draws)
	now, asIs, matched := make([]float64, draws), make([]float64, draws), make([]float64, draws)
	if err := parallel.For(ctx, draws, func(n int) {
		m := s.drawn[n]
		wood[n], untouched[n] = s.woodEnd(m), s.untouchedEnd(m)
		today := m.sample.Colours[s.wood.Mean].Lab()
		now[n], asIs[n] = colour.DeltaE2000(today, m.sample.Colours[s.area.Mean].Lab()), wood[n].dayFrom(&untouched[n])
		end := s.end(m, spectra.PriorSpectrum(today))
		matched[n] = wood[n].dayFrom(&end)
	}); err != nil {
		return nil, err
	}
	t.Now, t.Untouched, t.MatchedNow = spread(now), spread(asIs), spread(matched)
	bestWood, bestAsIs := s.woodEnd(s.best), s.untouchedEnd(s.best)
	t.WoodEnd, t.End, t.Mixed = bestWood.day, bestAsIs.day, s.best.sample.Colours[s.area.Mean].Lab()
	t.AfterTouchUp, t.AtEnd = t.Now, t.Untouched
	lamp := make([]float64, draws)
	for n := range lamp {
		lamp[n] = wood[n].lampFrom(&untouched[n])
	}
	t.Lamp = spread(lamp)
	if t.Needed() {
		s.drawDabs(t.Aim)
		ways := s.ways(shares)
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		s.sort(ways)
		best, err := s.bestWay(ctx, ways[:min(touchesTried, len(ways))], wood)
		if err != nil {
			return nil, err
		}
		if best != nil && best.cost-best.price() < t.Untouched.Median+lampWeight*t.Lamp.Median-worthATouch {
			if err := s.take(ctx, t, best, wood); err != nil {
				return nil, err
			}
		}
	}
	t.TooDark = t.Needed() && bestAsIs.day.L < bestWood.day.L-lighterBy && t.End.L < bestWood.day.L-lighterBy
	if Visibility(t.AtEnd.Median) > 1 {
		t.Correct = s.correction(t)
	}
	return t, nil
}

// holdsOnSealed reports whether all coats to come on the wood hold where it is sealed.
func (s *spot) holdsOnSealed() bool {
	return !slices.ContainsFunc(s.onWood, func(l Layer) bool {
		ok, _ := s.shelf()[l.Coating].TakesOn(blend.Sealed)
		return !ok
	})
}

// bestWay returns the way of least cost over the samples; nil where there is none.
func (s *spot) bestWay(ctx context.Context, ways []way, wood []seenEnd) (best *way, err error) {
	if err := parallel.For(ctx, len(ways), func(i int) {
		w := &ways[i]
		day, lamp := make([]float64, len(s.drawn)), make([]float64, len(s.drawn))
		for n, m := range s.drawn {
			end := s.end(m, s.touchedIn(n, w))
			day[n], lamp[n] = wood[n].dayFrom(&end), wood[n].lampFrom(&end)
		}
		w.cost = median(day) + lampWeight*median(lamp) + w.price()
	}); err != nil {
		return nil, err
	}
	for i := range ways {
		if best == nil || ways[i].cost < best.cost {
			best = &ways[i]
		}
	}
	return best, nil
}

// take fills in what comes of a way.
func (s *spot) take(ctx context.Context, t *TouchUp, w *way, wood []seenEnd) error {
	draws := len(s.drawn)
	after, atEnd, lamp, first := make([]float64, draws), make([]float64, draws), make([]float64, draws), make([]float64, draws)
	mended := w.mended.Lab()
	if err := parallel.For(ctx, draws, func(n int) {
		m := s.drawn[n]
		touched := s.touchedIn(n, w)
		end := s.end(m, touched)
		after[n] = colour.DeltaE2000(m.sample.Colours[s.wood.Mean].Lab(), touched.Lab())
		atEnd[n], lamp[n] = wood[n].dayFrom(&end), wood[n].lampFrom(&end)
		mixed := s.touch(m, w)
		first[n] = colour.DeltaE2000(mended, mixed.Lab())
	}); err != nil {
		return err
	}
	for _, of := range w.recipe {
		t.Mix = append(t.Mix, MixPart{s.shelf()[of.shelf].Name, of.parts})
	}
	t.Touches, t.AfterTouchUp, t.AtEnd, t.Lamp, t.FirstMix = w.touches, spread(after), spread(atEnd), spread(lamp), spread(first)
	end := s.end(s.best, w.mended)
	t.Mixed, t.End, t.best = mended, end.day, w
	return nil
}

// correction returns the touches of one coating that bring what is left at the end nearest, in the best sample; nil where none gains what
// an eye could see.
func (s *spot) correction(t *TouchUp) *Correction {
	c, before := (*Correction)(nil), colour.DeltaE2000(t.WoodEnd, t.End)
	ground := spectra.PriorSpectrum(t.End)
	top := None
	if n := len(s.coats); n > 0 {
		top = s.coats[n-1].Coating
	}
	for k := range s.shelf() {
		coating := &s.best.sample.Coatings[k]
		if coating.Kind == "stain" || coating.Kind == "dye" {
			continue
		}
		if top != None && top != k {
			if ok, _ := blend.MayLie(&s.shelf()[top], coating); !ok {
				continue
			}
		}
		for n := 1; n <= mostTouches; n++ {
			seen := coating.Over(&ground, coating.Thickness(float64(n), blend.Sealed, nil))
			d := colour.DeltaE2000(t.WoodEnd, seen.Lab())
			if d <= before-worthATouch && (c == nil || d < c.After) {
				c = &Correction{coating.Name, n, d}
			}
		}
	}
	return c
}
