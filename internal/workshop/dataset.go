package workshop

import (
	"slices"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/blend/plan"
	"huewright/internal/piece"
)

// A planData is what coatings are learned from and counts are found of: all readings, and what the log
// tells, in the terms of blend.
type planData struct {
	dataset learn.Dataset
	problem plan.Problem
	areas   []areaData
	earlier []Earlier
}

// areaData is an area among a dataset.
type areaData struct {
	now    *Read // as it is
	bare   int   // place of its colour before any coat among the survey's
	target *Read // nil where it is to meet the others
}

// newPlanData gathers what was read of a piece, and what earlier pieces tell.
func newPlanData(photos *Photos, read *readings, past *Past) (*planData, error) {
	p := photos.piece
	d := &planData{
		dataset: learn.Dataset{Shared: photos.shared(), Shelf: shelfOf(photos, read), Clear: clearOf(p, read)},
		problem: plan.Problem{Finished: p.Clear != nil, Options: plan.Options{
			Tolerance: p.Tolerance, MaxCoats: p.MaxCoats, LeastGrain: p.LeastGrain,
		}},
	}
	for i := range p.Areas {
		d.addArea(p, &p.Areas[i], read)
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
		told, err := past.about(&p.Coatings[k], grounds, &d.dataset.Shelf[k].Evidence)
		if err != nil {
			return nil, err
		}
		e := &d.dataset.Shelf[k].Evidence
		e.Tests = append(e.Tests, told.tests...)
		if told.chip != nil {
			e.Chip = told.chip
		}
		if told.Results > 0 || told.Chip {
			d.earlier = append(d.earlier, told.Earlier)
		}
	}
	return d, nil
}

// shelfOf is what the piece itself tells of its coatings, on test boards.
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
				Surface: blend.Surface(ground.Surface),
			})
		}
		shelf = append(shelf, learn.ShelfCoating{
			Name: k.Name, Kind: blend.Kind(k.Kind), Family: blend.Family(k.Family), PutOn: k.HowPutOn(), Evidence: e,
		})
	}
	return shelf
}

// relativeShare says how strong a test coat was beside the mix that is planned.
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

// addArea adds the colours of an area: bare, with its grain; under the coats it has had, each of which
// is evidence like a test coat; and its target. The last is what is planned on from, and the bare wood
// is what its grain is told against.
func (d *planData) addArea(p *piece.Piece, area *piece.Area, read *readings) {
	take := func(m learn.Measured) int {
		d.dataset.Colours = append(d.dataset.Colours, m)
		return len(d.dataset.Colours) - 1
	}
	bare := read.of(AreaKey(area, 0))
	light, dark := bare.quarters()
	asked := plan.Area{
		Name: area.Name, Surface: blend.Surface(area.Surface), Target: plan.None,
		Mean: take(bare.Measured), Light: take(light), Dark: take(dark),
	}
	data := areaData{now: bare, bare: asked.Mean}
	if n := len(area.Laid); n > 0 {
		d.addLaid(p, area, read)
		asked.BareLight, asked.BareDark = asked.Light, asked.Dark
		asked.Laid = d.laidOf(coatsOf(area.Laid))
		data.now = read.of(AreaKey(area, n))
		asked.Mean, asked.Light, asked.Dark = take(data.now.Measured), plan.None, plan.None
		if g := data.now.Grain; g != nil {
			asked.Light, asked.Dark = take(g.Light), take(g.Dark)
		}
	}
	if key, source := targetOf(p, area); source != nil {
		data.target = read.of(key)
		asked.Target = take(data.target.Measured)
		asked.TargetSeen = data.target.Surface == string(blend.ClearCoated)
	}
	d.areas, d.problem.Areas = append(d.areas, data), append(d.problem.Areas, asked)
}

// addLaid adds the coats that an area has had to what is known of their coatings.
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
			Ground: ground, Result: seen, Coats: float64(coats[layers-1].Count), Surface: surface, OnPiece: true,
		})
		under = seen
	}
}

// place is that of a coating on the shelf.
func (d *planData) place(coating string) int {
	return slices.IndexFunc(d.dataset.Shelf, func(k learn.ShelfCoating) bool { return k.Name == coating })
}

// laidOf are coats by their places on the shelf.
func (d *planData) laidOf(coats []plan.CoatCount) (laid []plan.Layer) {
	for _, c := range coats {
		laid = append(laid, plan.Layer{Coating: d.place(c.Coating), Coats: c.Count})
	}
	return laid
}

// quarters are those of a reading's grain, moved along with its mean: the grain is that of one photo,
// the mean of all.
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
