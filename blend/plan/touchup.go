package plan

import (
	"cmp"
	"context"
	"math/rand/v2"
	"slices"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/parallel"
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
	Mixed colour.Lab // the colour that Mix is expected to dry to on the spot; the spot as it is where Mix is empty
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
}

// Needed reports whether the spot, left as it is, would be told from its wood at the end.
func (t *TouchUp) Needed() bool { return t.Untouched.Median >= colour.Perceptible }

// Unsure reports whether bare wood may soak up the first coat otherwise than is expected, so that the spot is best looked at again after
// it.
func (t *TouchUp) Unsure() bool { return t.onBare && t.AtEnd.High >= t.AtEnd.Median+unsureBy }

// A Correction is touches of a coating over the spot after the last coat, and ΔE00 from the wood then.
type Correction struct {
	Coating string
	Touches int
	After   float64
}

// Figures of a touch-up. Our own choice but for worthATouch.
const (
	mostDrops     = 20 // in a mix of tubes
	firstDrops    = 6  // in those that the search starts from
	mostTubes     = 6  // that mixes are made of
	tubesInMix    = 4
	mixesMended   = 12                 // that the search goes on from, by a drop more or less
	mostTouches   = 3                  // of a coating that does not hide
	hidingTouches = 3                  // thin touches of paint, after which we take it to hide what it can
	touchesTried  = 12                 // ways that are judged in all samples
	worthATouch   = colour.Perceptible // ΔE00 that a touch-up must gain
	priceOfADrop  = 0.02               // ΔE00 that each drop must gain, so that a mix is of few
	unsureBy      = 1.0                // ΔE00 by which a spot may end further off than is expected
	lampWeight    = 0.25               // of what is left under a filament lamp, beside what is left in daylight
	mendable      = 3.0                // ΔE00 from what it is to look like, within which a mix can be mended with its own tubes
	dabSD         = 0.5                // in each of L*, a*, b*, of a mix that was mended until a dry dab matched: that of a good reading
)

// TouchUps finds for every spot of a problem what to touch it up with before the coats of a choice: a coating of the shelf, or a mix of up
// to three tubes in whole drops. Tubes are paints that are not thinned, of which shares, as in [Mixes], says the paint's share.
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
			with.Best.Colours = append(with.Best.Colours, s.mended(t.best))
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
			for _, c := range choice.Areas[k].Coats {
				on[k] = append(on[k], Layer{p.place(c.Coating), c.Count})
			}
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

// share returns the share of figures that are no more than most.
func share(figures []float64, most float64) (within float64) {
	for _, x := range figures {
		if x <= most {
			within += 1 / float64(len(figures))
		}
	}
	return within
}

// A spot is one with the coats to come.
type spot struct {
	*planner
	area, wood    *Area
	coats, onWood layers
	touched       Area               // the spot once it is touched up
	wet           blend.Surface      // what a touch finds
	toLook        colour.Lab         // what a dab is held to
	dabs          []spectra.Spectrum // by drawn sample: what a dab that is held to Aim is off by, as a factor in each band
}

func (p *planner) spotUnder(i int, choice *Choice) *spot {
	layersOf := func(i int) (ls layers) {
		for _, c := range choice.Areas[i].Coats {
			ls = append(ls, Layer{p.place(c.Coating), c.Count})
		}
		return ls.laid()
	}
	wood := p.problem.wood(i)
	s := &spot{planner: p, area: &p.problem.Areas[i], wood: &p.problem.Areas[wood], coats: layersOf(i), onWood: layersOf(wood)}
	s.touched = *s.area
	s.touched.Laid, s.touched.Surface, s.touched.Light, s.touched.Dark = nil, blend.NonAbsorbing, None, None
	s.wet = s.area.Surface
	if len(s.area.Laid) > 0 {
		s.wet = blend.Sealed
	}
	return s
}

// mayTouch reports whether coating k may lie on the spot, and the first of the coats to come over it.
func (s *spot) mayTouch(k int) bool {
	c := &s.shelf()[k]
	if ok, _ := s.mayLie(s.area, k); !ok || (c.Kind == "stain" || c.Kind == "dye") && !s.wet.Absorbs() {
		return false
	}
	if len(s.coats) == 0 || s.coats[0].Coating == k {
		return true
	}
	ok, _ := blend.MayLie(c, &s.shelf()[s.coats[0].Coating])
	return ok
}

// A way is one to touch a spot up: drops of tubes, or touches of a coating.
type way struct {
	recipe  recipe
	touches int // 0: until it hides
	cost    float64
}

// ways are all that are tried: coatings by themselves, and mixes of tubes.
func (s *spot) ways(shares []float64) (all []way) {
	var tubes []int
	for k := range s.shelf() {
		switch c := &s.shelf()[k]; {
		case !s.mayTouch(k):
		case c.Kind == "paint" && (k >= len(shares) || shares[k] == 0 || shares[k] >= 1):
			tubes = append(tubes, k)
		default:
			for n := 1; n <= mostTouches; n++ {
				all = append(all, way{recipe: recipe{{k, 1}}, touches: n})
			}
		}
	}
	if len(tubes) > mostTubes {
		tubes = s.bestTubes(tubes)
	}
	mixes := mixesOf(tubes, mostPaints, s.compatibleTubes)
	s.sort(mixes)
	for i := range mixes[:min(mixesMended, len(mixes))] {
		s.descend(&mixes[i], tubes)
	}
	return append(all, mixes[:min(mixesMended, len(mixes))]...)
}

// descend moves a mix to its best neighbour, with a few drops of one tube more or less, until none costs less in the best sample.
func (s *spot) descend(w *way, tubes []int) {
	wood := s.woodEnd(s.best)
	for {
		best := *w
		for _, k := range tubes {
			for _, by := range []int{-3, -1, 1, 3} {
				n := w.with(k, by)
				if n.recipe == nil || slices.ContainsFunc(n.recipe, func(of paint) bool { return !s.compatibleTubes(of.shelf, k) }) {
					continue
				}
				if s.price(&n, &wood); n.cost < best.cost-1e-9 {
					best = n
				}
			}
		}
		if best.cost == w.cost {
			return
		}
		*w = best
	}
}

// with returns a mix with so many drops more of tube k, in its lowest terms; without a recipe where that cannot be.
func (w *way) with(k, by int) (n way) {
	r := slices.Clone(w.recipe)
	at := slices.IndexFunc(r, func(of paint) bool { return of.shelf == k })
	if at < 0 {
		r, at = append(r, paint{k, 0}), len(r)
	}
	if r[at].parts += by; r[at].parts == 0 {
		r = slices.Delete(r, at, at+1)
	}
	slices.SortFunc(r, func(a, b paint) int { return cmp.Compare(a.shelf, b.shelf) })
	if len(r) == 0 || len(r) > tubesInMix || r.parts() > mostDrops || slices.ContainsFunc(r, func(of paint) bool { return of.parts < 0 }) {
		return way{}
	}
	if !r.lowestTerms() {
		return way{}
	}
	return way{recipe: r, touches: w.touches}
}

func (s *spot) compatibleTubes(a, b int) bool {
	f, g := s.shelf()[a].Family, s.shelf()[b].Family
	return f == g || f == "" || g == ""
}

// mixesOf are the whole-number mixes of up to so many tubes, in their lowest terms.
func mixesOf(tubes []int, most int, compatible func(a, b int) bool) (all []way) {
	var add func(from, left int, r recipe)
	add = func(from, left int, r recipe) {
		if len(r) > 0 && r.lowestTerms() {
			all = append(all, way{recipe: slices.Clone(r)})
		}
		if len(r) == most {
			return
		}
		for i := from; i < len(tubes); i++ {
			if len(r) > 0 && !compatible(r[0].shelf, tubes[i]) {
				continue
			}
			for drops := 1; drops <= left; drops++ {
				add(i+1, left-drops, append(r, paint{tubes[i], drops}))
			}
		}
	}
	add(0, firstDrops, nil)
	return all
}

// bestTubes returns the tubes of the best mixes of two.
func (s *spot) bestTubes(tubes []int) (best []int) {
	pairs := mixesOf(tubes, 2, s.compatibleTubes)
	s.sort(pairs)
	for _, w := range pairs {
		for _, of := range w.recipe {
			if !slices.Contains(best, of.shelf) && len(best) < mostTubes {
				best = append(best, of.shelf)
			}
		}
	}
	return best
}

// sort sorts ways by what they cost in the best sample.
func (s *spot) sort(ways []way) {
	wood := s.woodEnd(s.best)
	for i := range ways {
		s.price(&ways[i], &wood)
	}
	slices.SortStableFunc(ways, func(a, b way) int {
		return cmp.Or(cmp.Compare(a.cost, b.cost), cmp.Compare(a.recipe.parts(), b.recipe.parts()))
	})
}

// price works out what a way costs in the best sample, whose wood ends so.
func (s *spot) price(w *way, wood *seenEnd) {
	end := s.end(s.best, s.touch(s.best, w, nil))
	w.cost = wood.dayFrom(&end) + lampWeight*wood.lampFrom(&end) + w.price()
}

// price is the ΔE00 that a way must gain.
func (w *way) price() float64 {
	return w.recipe.price() + priceOfADrop*float64(w.recipe.parts()+w.touches)
}

// touch returns the spot's spectrum under a way. strengths are how strong each tube turns out; nil is by its share.
func (s *spot) touch(m model, w *way, strengths []float64) spectra.Spectrum {
	parts := make([]blend.Part, len(w.recipe))
	for i, of := range w.recipe {
		c := &m.sample.Coatings[of.shelf]
		if strengths != nil {
			c = c.Strength(strengths[i])
		}
		parts[i] = blend.Part{Coating: c, Parts: float64(of.parts)}
	}
	c := blend.Mix("", parts[0].Coating.Kind, parts...)
	touches := cmp.Or(w.touches, hidingTouches)
	under := c.Wetted(&m.sample.Colours[s.area.Mean], s.wet)
	return c.Over(&under, c.Thickness(float64(touches), s.wet, nil))
}

// touchedIn returns the spot's spectrum under a way in a drawn sample. A mix is that of the best sample, but for the error of the dab.
func (s *spot) touchedIn(n int, w *way) spectra.Spectrum {
	if len(w.recipe) == 1 {
		return s.touch(s.drawn[n], w, nil)
	}
	mixed := s.mended(w)
	for i := range mixed {
		mixed[i] = min(mixed[i]*s.dabs[n][i], 1)
	}
	return mixed
}

// mended returns the spectrum, in the best sample, of a mix that is mended until it has the colour that the spot is to have, where it
// comes near enough for that; elsewhere, and of a coating by itself, that of the way as it is.
func (s *spot) mended(w *way) spectra.Spectrum {
	mixed := s.touch(s.best, w, nil)
	is := mixed.Lab()
	if len(w.recipe) == 1 || colour.DeltaE2000(s.toLook, is) > mendable {
		return mixed
	}
	have, want := spectra.PriorSpectrum(is), spectra.PriorSpectrum(s.toLook)
	for i := range mixed {
		mixed[i] = min(mixed[i]*want[i]/max(have[i], 1e-6), 1)
	}
	return mixed
}

// drawDabs fills in the errors of dabs.
func (s *spot) drawDabs(aim colour.Lab) {
	s.toLook = aim
	nominal := spectra.PriorSpectrum(aim)
	s.dabs = make([]spectra.Spectrum, len(s.drawn))
	for n, m := range s.drawn {
		rng := rand.New(rand.NewPCG(m.sample.Seed, learn.SeedOf("dab", s.area.Name)))
		off := func() float64 {
			if m.sample.Seed == 0 {
				return 0
			}
			return dabSD * rng.NormFloat64()
		}
		dab := spectra.PriorSpectrum(colour.Lab{L: min(max(aim.L+off(), 1), 99), A: aim.A + off(), B: aim.B + off()})
		for i := range dab {
			s.dabs[n][i] = dab[i] / max(nominal[i], 1e-6)
		}
	}
}

// A seenEnd is a colour at the end, as it will be seen.
type seenEnd struct{ day, lamp colour.Lab }

func (e *seenEnd) dayFrom(o *seenEnd) float64  { return colour.DeltaE2000(e.day, o.day) }
func (e *seenEnd) lampFrom(o *seenEnd) float64 { return colour.DeltaE2000(e.lamp, o.lamp) }

func (m model) seenEnd(r reflectances) seenEnd {
	s := *r.mean
	if m.problem.Finished {
		s = m.sample.Clear.On(r.on).Over(&s)
	}
	return seenEnd{s.Lab(), s.LabUnder(spectra.LightA)}
}

// woodEnd returns how the wood ends.
func (s *spot) woodEnd(m model) seenEnd { return m.seenEnd(m.lay(s.wood, s.onWood, nil)) }

// end returns how the spot ends where it was touched up to a spectrum.
func (s *spot) end(m model, touched spectra.Spectrum) seenEnd {
	r := reflectances{mean: &touched, on: blend.NonAbsorbing}
	return m.seenEnd(m.layOn(r, &s.touched, s.coats, nil))
}

// untouchedEnd returns how it ends as it is.
func (s *spot) untouchedEnd(m model) seenEnd { return m.seenEnd(m.lay(s.area, s.coats, nil)) }

// touchUp finds the best way for a spot, and says what comes of it.
func (s *spot) touchUp(ctx context.Context, shares []float64) (*TouchUp, error) {
	t := &TouchUp{onBare: s.wood.Surface.Absorbs() && len(s.wood.Laid) == 0 && len(s.coats) > 0, Area: s.area.Name, PartOf: s.wood.Name,
		Aim: s.aim(s.best.sample.Colours[s.wood.Mean].Lab())}
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

// aim returns the colour that the spot is to have so that it ends as its wood does, started from a colour: a fixed point of the
// differences at the end.
func (s *spot) aim(c colour.Lab) colour.Lab {
	wood := s.woodEnd(s.best)
	for range 12 {
		end := s.end(s.best, spectra.PriorSpectrum(c))
		d := labDifference(wood.day, end.day)
		c = colour.Lab{L: min(max(c.L+d[0], 0), 100), A: c.A + d[1], B: c.B + d[2]}
	}
	return c
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
	expected := s.touch(s.best, w, nil)
	if err := parallel.For(ctx, draws, func(n int) {
		m := s.drawn[n]
		touched := s.touchedIn(n, w)
		end := s.end(m, touched)
		after[n] = colour.DeltaE2000(m.sample.Colours[s.wood.Mean].Lab(), touched.Lab())
		atEnd[n], lamp[n] = wood[n].dayFrom(&end), wood[n].lampFrom(&end)
		mixed := s.touch(m, w, (&mixer{planner: s.planner}).drawStrengths(m, w.recipe))
		first[n] = colour.DeltaE2000(expected.Lab(), mixed.Lab())
	}); err != nil {
		return err
	}
	for _, of := range w.recipe {
		t.Mix = append(t.Mix, MixPart{s.shelf()[of.shelf].Name, of.parts})
	}
	t.Touches, t.AfterTouchUp, t.AtEnd, t.Lamp, t.FirstMix = w.touches, spread(after), spread(atEnd), spread(lamp), spread(first)
	end := s.end(s.best, s.mended(w))
	t.Mixed, t.End, t.best = expected.Lab(), end.day, w
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
