package record

import (
	"slices"

	"huewright/internal/logbook"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// read notes a colour that was read. One of the same thing that stands is put right by it; an area
// that is read in another photo is read again, at another time, and both stand.
func (n *notes) read(r *workshop.Read, file string, relative bool, coating *piece.Coating) {
	if n.err != nil {
		return
	}
	hash := ""
	if file != "" {
		hash = n.store(file)
	}
	reading := &logbook.Reading{
		Of: r.Of, Lab: r.Measured.Lab, PlusMinus: r.Measured.PlusMinus, Own: r.Measured.Own, Spread: r.Spread, Pixels: r.Pixels,
		SHA256: hash, Relative: relative, Surface: r.Surface, Stack: stackOf(r.Coats),
	}
	if g := r.Grain; g != nil {
		light, dark := g.Light.Lab, g.Dark.Lab
		reading.Light, reading.Dark = &light, &dark
	}
	if coating != nil && r.Of == workshop.ReadChip {
		k := logged(coating)
		reading.Coating = &k
	}
	e := logbook.Entry{Area: r.Area, Run: n.run, Reading: reading}
	if r.Of != workshop.ReadArea {
		e.Note = r.Name
	}
	was := n.find(func(o *logbook.Entry) bool {
		return o.Reading != nil && o.Reading.Of == r.Of && o.Area == r.Area && o.Note == e.Note && sameStack(o.Reading.Stack, reading.Stack) &&
			(r.Of != workshop.ReadArea || o.Reading.SHA256 == hash)
	})
	switch {
	case was == nil:
	case sameLab(was.Reading.Lab, reading.Lab) && was.Reading.SHA256 == hash:
		n.reads[r.ReadKey] = was.ID
		return
	case !n.keepBoth: // else it may be of another outline, and both stand
		e.Replaces, e.At = was.ID, was.At
	}
	n.reads[r.ReadKey] = n.add(e)
}

// testCoats notes the test coats of a coating, by the readings of them.
func (n *notes) testCoats(k *piece.Coating) {
	for i, t := range k.Tests {
		name := workshop.TestCoatName(k, i)
		groundKey, resultKey := workshop.TestCoatKeys(k, i)
		ground, result := n.reads[groundKey], n.reads[resultKey]
		share := t.Dilution.Share()
		if t.Dilution == nil {
			share = k.Dilution.Share()
		}
		test := &logbook.TestCoat{Coating: logged(k), Coats: t.Coats, Share: share, Ground: ground, Result: result, Surface: t.Ground.Surface}
		e := logbook.Entry{Area: t.Ground.Area, Note: name, Run: n.run, TestCoat: test}
		if was := n.find(func(o *logbook.Entry) bool { return o.TestCoat != nil && o.Note == name }); was != nil {
			if *was.TestCoat == *test {
				continue
			}
			e.Replaces, e.At = was.ID, was.At
		}
		n.add(e)
	}
}

// laid notes the coats that an area has had. Where somebody noted them by hand before, their entry
// is put right by one that has the readings too.
func (n *notes) laid(a *workshop.AreaPlan, shelf []piece.Coating) {
	under := n.reads[workshop.AreaKey(&a.Area, 0)]
	var before []logbook.Entry
	for i := range n.standing {
		if e := &n.standing[i]; e.Coats != nil && e.Area == a.Area.Name {
			before = append(before, *e)
		}
	}
	for i, l := range a.Area.Laid {
		at := slices.IndexFunc(shelf, func(k piece.Coating) bool { return k.Name == l.Coating })
		result := n.reads[workshop.AreaKey(&a.Area, i+1)]
		coats := &logbook.Coats{Coating: logged(&shelf[at]), Coats: l.Coats, Share: shelf[at].Dilution.Share(),
			ThinnedWith: shelf[at].Family, LaidBy: shelf[at].PutOn, Ground: under, Result: result}
		e := logbook.Entry{Area: a.Area.Name, Run: n.run, Coats: coats}
		under = result
		if i < len(before) && before[i].Coats.Name == l.Coating && before[i].Coats.Coats == l.Coats {
			was := before[i].Coats
			if was.Ground == coats.Ground && was.Result == coats.Result {
				continue
			}
			kept := *was // what a person said of it stays
			kept.Ground, kept.Result = coats.Ground, coats.Result
			e.Coats, e.Note, e.Replaces, e.At = &kept, before[i].Note, before[i].ID, before[i].At
		}
		n.add(e)
	}
}

// plan notes the suggestion for an area, and its predictions.
func (n *notes) plan(a *workshop.AreaPlan, r *workshop.PlanResult) {
	p := &logbook.Plan{}
	lain := logbook.Stack{}
	if m := len(a.Laid); m > 0 {
		lain = stackOf(a.Laid[m-1].Coats)
	}
	p.Stack = lain
	for _, c := range a.Plan.Coats {
		p.Coats, p.Low, p.High = p.Coats+c.Count, p.Low+c.Range[0], p.High+c.Range[1]
		if c.Count > 0 {
			p.Stack = p.Stack.Over(c.Coating, float64(c.Count))
		}
	}
	if a.Target != nil {
		p.Target = &a.Target.Lab
	}
	p.Before, p.After = a.Plan.Before.Median, a.Plan.After.Median
	stack := lain
	for _, e := range a.Expected {
		k := &r.Piece.Coatings[e.Coating]
		stack = stack.Over(k.Name, 1)
		p.Predictions = append(p.Predictions,
			logbook.Prediction{Coating: logged(k), Laid: e.Laid, Stack: stack, Lab: e.Lab, PlusMinus: e.PlusMinus, Step: e.Step})
	}
	n.add(logbook.Entry{Area: a.Area.Name, Run: n.run, Plan: p})
}
