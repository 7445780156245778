package logbook

import (
	"strings"

	"huewright/blend"
	"huewright/colour"
)

// detail writes what is particular to an entry's kind.
func (w *Writer) detail(id int64, e *Entry) error {
	var err error
	switch {
	case e.Facts != nil:
		f := e.Facts
		_, err = w.insert("INSERT INTO area (entry, wood, cut, surface, sanding, wood_age, square_metres) VALUES (?, ?, ?, ?, ?, ?, ?)",
			id, f.Wood, f.Cut, f.Surface, f.Sanding, f.WoodAge, orNull(f.SquareMetres))
	case e.Picture != nil:
		_, err = w.insert("INSERT INTO picture (entry, sha256) VALUES (?, ?)", id, e.Picture.SHA256)
	case e.Reference != nil:
		r := e.Reference
		_, err = w.insert("INSERT INTO reference (entry, sha256, by, patches, left_out, left_out_95, uneven) VALUES (?, ?, ?, ?, ?, ?, ?)",
			id, r.SHA256, r.By, r.Patches, orNull(r.LeftOut), orNull(r.LeftOut95), orNull(r.Uneven))
	case e.Reading != nil:
		err = w.reading(id, e.Reading)
	case e.TestCoat != nil:
		t := e.TestCoat
		var batch int64
		if batch, err = w.batch(&t.Coating); err == nil {
			_, err = w.insert("INSERT INTO test_coat (entry, batch, coats, share, ground, result, surface) VALUES (?, ?, ?, ?, ?, ?, ?)",
				id, batch, t.Coats, t.Share, t.Ground, t.Result, t.Surface)
		}
	case e.Coats != nil:
		c := e.Coats
		var batch int64
		if batch, err = w.batch(&c.Coating); err == nil {
			_, err = w.insert("INSERT INTO coats (entry, batch, coats, share, thinned_with, put_on, wiped_after, dried, "+
				"temperature, humidity, ground, result) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
				id, batch, c.Coats, c.Share, c.ThinnedWith, c.LaidBy, c.WipedAfter, c.Dried, c.Temperature, c.Humidity, orNull(c.Ground),
				orNull(c.Result))
		}
	case e.Plan != nil:
		err = w.plan(id, e.Plan)
	case e.Check != nil:
		_, err = w.insert("INSERT INTO verdict (entry, says, of100, delta_e) VALUES (?, ?, ?, ?)", id, e.Check.Says, e.Check.Of100,
			e.Check.DeltaE)
	}
	return err
}

func (w *Writer) reading(id int64, r *Reading) error {
	var coating int64
	var err error
	if r.Coating != nil {
		if coating, err = w.coating(r.Coating); err != nil {
			return err
		}
	}
	relative := 0
	if r.Relative {
		relative = 1
	}
	ll, la, lb := three(r.Light)
	dl, da, db := three(r.Dark)
	_, err = w.insert("INSERT INTO reading (entry, of, l, a, b, plus_minus, own, spread, pixels, sha256, relative, "+
		"surface, stack, coating, light_l, light_a, light_b, dark_l, dark_a, dark_b)"+
		" VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
		id, r.Of, r.Lab.L, r.Lab.A, r.Lab.B, r.PlusMinus, r.Own, orNull(r.Spread), orNull(r.Pixels), orNull(r.SHA256), relative,
		r.Surface, r.Stack.text(), orNull(coating),
		ll, la, lb, dl, da, db)
	if err != nil {
		return err
	}
	_, err = w.insert("INSERT INTO reading_near (entry, l0, l1, a0, a1, b0, b1) VALUES (?, ?, ?, ?, ?, ?, ?)",
		id, r.Lab.L, r.Lab.L, r.Lab.A, r.Lab.A, r.Lab.B, r.Lab.B)
	return err
}

func (w *Writer) plan(id int64, p *Plan) error {
	l, a, b := three(p.Target)
	_, err := w.insert("INSERT INTO plan (entry, coats, low, high, stack, target_l, target_a, target_b, before, after) "+
		"VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
		id, p.Coats, p.Low, p.High, p.Stack.text(), l, a, b, p.Before, p.After)
	if err != nil {
		return err
	}
	for i := range p.Predictions {
		f := &p.Predictions[i]
		coating, err := w.coating(&f.Coating)
		if err != nil {
			return err
		}
		_, err = w.insert("INSERT INTO foreseen (entry, coating, laid, stack, l, a, b, plus_minus, step_l, step_a, step_b) "+
			"VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
			id, coating, f.Laid, f.Stack.text(), f.Lab.L, f.Lab.A, f.Lab.B, f.PlusMinus, f.Step.L, f.Step.A, f.Step.B)
		if err != nil {
			return err
		}
	}
	return nil
}

// three are the figures of a colour, or nothing.
func three(c *colour.Lab) (l, a, b any) {
	if c == nil {
		return nil, nil, nil
	}
	return c.L, c.A, c.B
}

// batch is the number of a batch, which is made where it is not there yet.
func (w *Writer) batch(c *Coating) (int64, error) {
	coating, err := w.coating(c)
	if err != nil {
		return 0, err
	}
	id, err := w.find("SELECT id FROM batch WHERE coating = ? AND name = ?", coating, c.Batch)
	if err != nil || id != 0 {
		return id, err
	}
	return w.insertNew("INSERT INTO batch (uid, coating, name) VALUES (?, ?, ?)", coating, c.Batch)
}

func (w *Writer) coating(c *Coating) (int64, error) {
	name := strings.TrimSpace(c.Name)
	switch {
	case name == "":
		return 0, wrong("logbook.coating-name")
	case !blend.Kind(c.Kind).Known():
		return 0, wrong("logbook.coating-kind", "kind", c.Kind, "known", blend.Kinds)
	}
	id, err := w.find("SELECT id FROM coating WHERE name = ? AND kind = ? AND family = ? AND put_on = ?", name, c.Kind, c.Family, c.PutOn)
	if err != nil || id != 0 {
		return id, err
	}
	return w.insertNew("INSERT INTO coating (uid, name, kind, family, put_on) VALUES (?, ?, ?, ?, ?)", name, c.Kind, c.Family, c.PutOn)
}
