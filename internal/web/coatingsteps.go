package web

import "huewright/internal/piece"

// setCoating adds a coating, or changes the one of that name; its test coats stay.
func setCoating(d *pieceDraft, f form) error {
	name, err := f.required("name", "the name of the coating")
	if err != nil {
		return err
	}
	chip, err := f.source("chip", "the chip")
	if err != nil {
		return err
	}
	mix, err := f.dilution()
	if err != nil {
		return err
	}
	k := piece.Coating{
		Name: name, Kind: f.text("kind"), Family: f.text("family"), PutOn: f.text("put-on"), Batch: f.text("batch"), Chip: chip, Dilution: mix,
	}
	if k.Parts, k.Weighed, err = f.mixed(); err != nil {
		return err
	}
	if k.RecoatAfter, err = f.number("recoat-after", "hours to the next coat"); err != nil {
		return err
	}
	if was := d.coating(name); was != nil {
		k.Tests = was.Tests
		if k.Chip == nil {
			k.Chip = was.Chip
		}
		k.Earlier = fromLogAlone(&k)
		*was = k
	} else {
		k.Earlier = fromLogAlone(&k) // until a test coat comes; the log may know it
		d.Piece.Coatings = append(d.Piece.Coatings, k)
	}
	return nil
}

// fromLogAlone reports whether nothing tells of a coating but what the log knows. The parts of a mix tell how strong its paints are, and
// nothing without a colour of its own.
func fromLogAlone(k *piece.Coating) bool { return k.Chip == nil && len(k.Tests) == 0 }

// addTest adds a test coat to a coating.
func addTest(d *pieceDraft, f form) error {
	k := d.coating(f.text("coating"))
	if k == nil {
		return errNoCoating
	}
	coats, err := f.number("coats", "how many coats")
	if err != nil {
		return err
	}
	if coats == 0 {
		coats = 1
	}
	ground, err := f.requiredSource("ground", "the bare wood beside it")
	if err != nil {
		return err
	}
	result, err := f.requiredSource("result", "the test coat")
	if err != nil {
		return err
	}
	k.Tests, k.Earlier = append(k.Tests, piece.TestCoat{Coats: coats, Ground: ground, Result: result}), false
	return nil
}

// setClear sets the clear coat to come; none, where it has no name.
func setClear(d *pieceDraft, f form) error {
	if f.text("name") == "" {
		d.Piece.Clear = nil
		return nil
	}
	coats, err := f.number("coats", "how many clear coats")
	if err != nil {
		return err
	}
	c := piece.Clear{Name: f.text("name"), Family: f.text("family"), Coats: int(coats)}
	if d.Piece.Clear != nil {
		c.Tests = d.Piece.Clear.Tests
	}
	d.Piece.Clear = &c
	return nil
}
