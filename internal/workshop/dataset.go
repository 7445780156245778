package workshop

import (
	"fmt"
	"slices"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/blend/plan"
	"huewright/internal/piece"
)

// A planData is the input of learning and planning: all readings of a piece, and past results from the log, as
// package learn and package plan take them.
type planData struct {
	dataset learn.Dataset
	problem plan.Problem
	areas   []areaData
	earlier []Earlier
	targets map[ReadKey]int // places of the targets among the dataset's colours
}

// areaData is an area among a dataset.
type areaData struct {
	now    *Read // as it is
	bare   int   // index of its colour before any coat in dataset.Colours
	target *Read // nil where it is to meet the others
}

// newPlanData gathers the readings of a piece and the results of earlier pieces; past may be nil.
func newPlanData(photos *Photos, read *readings, past *Past) (*planData, error) {
	p := photos.piece
	d := &planData{
		targets: map[ReadKey]int{},
		dataset: learn.Dataset{Shared: photos.shared(), Shelf: shelfOf(photos, read), Clear: clearOf(p, read)},
		problem: plan.Problem{Finished: p.Clear != nil, Options: plan.Options{
			Tolerance: p.Tolerance, MaxCoats: p.MaxCoats, PreferGrain: p.PrefersGrain(), Price: p.Price,
		}},
	}
	for i := range p.Areas {
		d.addArea(p, &p.Areas[i], read)
	}
	d.problem.Layers = layersOf(p)
	for k := range p.Coatings {
		if p.ForTouchingUp(&p.Coatings[k]) {
			d.problem.TouchUp = append(d.problem.TouchUp, k)
		}
		if len(p.Coatings[k].Parts) > 0 {
			d.problem.Mixed = append(d.problem.Mixed, k)
		}
	}
	if past == nil {
		past = &Past{}
	}
	d.dataset.Bias = past.Bias
	grounds := make([]pastGround, len(d.areas))
	for i, a := range d.areas {
		grounds[i] = pastGround{a.now.Measured.Lab, p.Areas[i].Surface}
	}
	for k := range p.Coatings {
		about, err := past.about(&p.Coatings[k], grounds, &d.dataset.Shelf[k].Evidence)
		if err != nil {
			return nil, err
		}
		e := &d.dataset.Shelf[k].Evidence
		e.Tests = append(e.Tests, about.tests...)
		if about.chip != nil {
			e.Chip = about.chip
		}
		if about.Results > 0 || about.Chip {
			d.earlier = append(d.earlier, about.Earlier)
		}
	}
	return d, nil
}

// shelfOf is the evidence about each coating from its chip and test coats.
func shelfOf(photos *Photos, read *readings) (shelf []learn.ShelfCoating) {
	for i := range photos.piece.Coatings {
		k := &photos.piece.Coatings[i]
		var e learn.Evidence
		if k.Chip != nil {
			chip := read.of(chipKey(k)).Measured
			e.Chip = &chip
		}
		for i, t := range k.Tests {
			groundKey, resultKey := TestCoatKeys(k, i)
			ground, result := read.of(groundKey), read.of(resultKey)
			e.Tests = append(e.Tests, learn.TestCoat{
				Ground: ground.Measured, Result: result.Measured, Coats: t.Coats, Share: relativeShare(k.Dilution, t.Dilution),
				Surface: blend.Surface(ground.Surface), Board: t.Board, Wood: photos.piece.WoodOf(&t),
			})
			if t.Strip {
				e.Tests[i].Strip = "board " + t.Board
			}
		}
		var parts []learn.MixedPart
		for _, part := range k.Parts {
			parts = append(parts, learn.MixedPart(part))
		}
		shelf = append(shelf, learn.ShelfCoating{
			Name: k.Name, Kind: blend.Kind(k.Kind), Family: blend.Family(k.Family), PutOn: k.HowPutOn(), Share: k.PaintShare(), Evidence: e,
			Parts: parts, Weighed: k.Weighed,
		})
	}
	return shelf
}

// relativeShare is the strength of a test coat relative to the planned mix.
func relativeShare(planned, tested *piece.Dilution) float64 {
	if tested == nil {
		return 1
	}
	return tested.Share() / planned.Share()
}

func clearOf(p *piece.Piece, read *readings) (e learn.ClearEvidence) {
	if p.Clear == nil {
		return e
	}
	for i := range p.Clear.Tests {
		e.Spots = append(e.Spots, learn.ClearSpot{
			Before: read.of(ReadKey{Of: ReadBefore, Nr: i + 1}).Measured, After: read.of(ReadKey{Of: ReadUnder, Nr: i + 1}).Measured,
		})
	}
	return e
}

// addArea adds the colours of an area: bare, with its grain; after each of the coats it has had, which are
// evidence like test coats; and its target. The plan starts from the colour after the last coat, and compares the
// grain with that of the bare wood.
func (d *planData) addArea(p *piece.Piece, area *piece.Area, read *readings) {
	take := func(m learn.Measured) int {
		d.dataset.Colours = append(d.dataset.Colours, m)
		return len(d.dataset.Colours) - 1
	}
	bare := read.of(AreaKey(area, 0))
	planArea := plan.Area{
		Name: area.Name, PartOf: area.PartOf, Surface: blend.Surface(area.Surface), Wood: area.AbsorbsAs(), Target: plan.None,
		Mean: take(bare.Measured), Light: plan.None, Dark: plan.None,
	}
	if bare.Grain != nil {
		light, dark := bare.quarters()
		planArea.Light, planArea.Dark = take(light), take(dark)
	}
	data := areaData{now: bare, bare: planArea.Mean}
	if n := len(area.Laid); n > 0 {
		d.addLaid(p, area, read)
		planArea.BareLight, planArea.BareDark = planArea.Light, planArea.Dark
		planArea.Laid = d.laidOf(coatsOf(area.Laid))
		data.now = read.of(AreaKey(area, n))
		planArea.Mean, planArea.Light, planArea.Dark = take(data.now.Measured), plan.None, plan.None
		if g := data.now.Grain; g != nil {
			planArea.Light, planArea.Dark = take(g.Light), take(g.Dark)
		}
	}
	if key, source := targetOf(p, area); source != nil {
		data.target = read.of(key)
		if _, known := d.targets[key]; !known {
			d.targets[key] = take(data.target.Measured)
		}
		planArea.Target = d.targets[key] // areas of one target are to look alike
		planArea.TargetSeen = data.target.Surface == string(blend.ClearCoated) || data.target.State == piece.Wet && p.Clear != nil
	}
	d.areas, d.problem.Areas = append(d.areas, data), append(d.problem.Areas, planArea)
}

// addLaid adds the coats that an area has had to the evidence about their coatings.
func (d *planData) addLaid(p *piece.Piece, area *piece.Area, read *readings) {
	under := read.of(AreaKey(area, 0)).Measured
	ground := under // of the coats of one coating that lie uppermost
	layers := 0
	for i, l := range area.Laid {
		coats := coatsOf(area.Laid[:i+1])
		if len(coats) > layers {
			ground, layers = under, len(coats)
		}
		surface := blend.Sealed
		if layers == 1 {
			surface = blend.Surface(area.Surface)
		}
		seen := read.of(AreaKey(area, i+1)).Measured
		e := &d.dataset.Shelf[d.place(l.Coating)].Evidence
		e.Tests = append(e.Tests, learn.TestCoat{
			Ground: ground, Result: seen, Coats: float64(coats[layers-1].Count), Surface: surface, OnPiece: true, Wood: area.AbsorbsAs(),
			Strip: fmt.Sprintf("area %s, layer %d", area.Name, layers), // each reading has the coats of the one before
		})
		under = seen
	}
}

// place is the index of a coating on the shelf.
func (d *planData) place(coating string) int {
	return slices.IndexFunc(d.dataset.Shelf, func(k learn.ShelfCoating) bool { return k.Name == coating })
}

// laidOf converts coats named by coating to coats by index on the shelf.
func (d *planData) laidOf(coats []plan.CoatCount) (laid []plan.Layer) {
	for _, c := range coats {
		laid = append(laid, plan.Layer{Coating: d.place(c.Coating), Coats: c.Count})
	}
	return laid
}

// quarters are the light and the dark quarter of a reading's grain, shifted to its mean: the grain is that of
// the first photo, the mean that of all.
func (r *Read) quarters() (light, dark learn.Measured) {
	first := r.Measured.Lab
	if len(r.Views) > 0 {
		first = r.Views[0].Lab
	}
	about := func(m learn.Measured) learn.Measured {
		m.Lab.L = m.Lab.L + r.Measured.Lab.L - first.L
		m.Lab.A = m.Lab.A + r.Measured.Lab.A - first.A
		m.Lab.B = m.Lab.B + r.Measured.Lab.B - first.B
		m.Key += " of " + r.Measured.Key
		return m
	}
	return about(r.Grain.Light), about(r.Grain.Dark)
}

// layersOf are the layers of a piece, by the places of their coatings and areas in it.
func layersOf(p *piece.Piece) (all []plan.ScheduledLayer) {
	for i := range p.Layers {
		l := &p.Layers[i]
		to := plan.ScheduledLayer{
			Coating: slices.IndexFunc(p.Coatings, func(k piece.Coating) bool { return k.Name == l.Coating }), Coats: plan.Planned,
		}
		if n, known := l.Count(); known {
			to.Coats = n
		}
		to.Areas = l.On(p)
		all = append(all, to)
	}
	return all
}
