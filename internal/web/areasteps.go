package web

import (
	"slices"

	"huewright/internal/piece"
)

// setArea adds an area, or changes the one of that name and has it read again.
func setArea(d *pieceDraft, f form) error {
	name, err := f.required("name", "the name of the area")
	if err != nil {
		return err
	}
	outline, err := f.outline("outline", "the outline of the area")
	if err != nil {
		return err
	}
	size, err := f.number("size", "its size")
	if err != nil {
		return err
	}
	was, us := d.area(name), d.Piece.Units == "us"
	switch {
	case was != nil && f.text("size") == sizeText(was.SizeM2, us): // as it was shown, rounded
		size = was.SizeM2
	case us:
		size *= squareFoot
	}
	a := piece.Area{
		Name: name, Photo: f.text("photo"), Outline: outline, Wood: f.text("wood"), Surface: f.text("surface"), SizeM2: size,
		PartOf: f.text("part-of"),
	}
	if shown := f.text("shown"); shown != "" {
		a.Shown = []string{shown}
	}
	delete(d.Read, name)
	if was != nil {
		a.Laid, a.Also, a.Target = was.Laid, was.Also, was.Target
		if a.Shown == nil && a.Outline == was.Outline {
			a.Shown = was.Shown
		}
		*was = a
	} else {
		d.Piece.Areas = append(d.Piece.Areas, a)
	}
	return nil
}

// addToArea adds more of an area: in its own photo for pictures, in another to be read there too.
func addToArea(d *pieceDraft, f form) error {
	a := d.area(f.text("area"))
	if a == nil {
		return errNoArea
	}
	outline, err := f.outline("outline", "the outline of the area")
	if err != nil {
		return err
	}
	photo := f.text("photo")
	if photo == a.Photo { // in its own photo: all of it, for pictures
		a.Shown = append(a.Shown, outline)
		d.Did = "more of the area " + a.Name
		return nil
	}
	if a.Also == nil {
		a.Also = map[string]string{}
	}
	a.Also[photo] = outline
	return nil
}

// setTarget sets the target; none, where nothing is said of one.
func setTarget(d *pieceDraft, f form) error {
	target, err := f.source("target", "the target")
	d.Piece.Target = target
	return err
}

// putOn notes a further coat on an area, which need not be measured yet.
func putOn(d *pieceDraft, f form) error {
	a := d.area(f.text("area"))
	if a == nil {
		return errNoArea
	}
	coating, err := f.required("coating", "the coating")
	if err != nil {
		return err
	}
	temperature, err := f.optionalNumber("temperature", "temperature")
	if err != nil {
		return err
	}
	on := d.On[a.Name]
	if on.Coating != coating {
		on = coatsOn{Coating: coating}
	}
	on.Coats, on.At, on.Temperature = on.Coats+1, d.Changed, temperature
	if d.On == nil {
		d.On = map[string]coatsOn{}
	}
	d.On[a.Name] = on
	return nil
}

// addLaid adds coats that were laid on an area, with how it looks now.
func addLaid(d *pieceDraft, f form) error {
	a := d.area(f.text("area"))
	if a == nil {
		return errNoArea
	}
	coats, err := f.number("coats", "how many coats")
	if err != nil {
		return err
	}
	if coats == 0 {
		coats = 1
	}
	after, err := f.requiredSource("after", "the coated wood")
	if err != nil {
		return err
	}
	delete(d.On, a.Name)
	a.Laid = append(a.Laid, piece.LaidCoats{Coating: f.text("coating"), Coats: int(coats), After: after})
	return nil
}

// setRepair adds a repair, or replaces the one of that name.
func setRepair(d *pieceDraft, f form) error {
	name, err := f.required("name", "the name of the repair")
	if err != nil {
		return err
	}
	outline, err := f.outline("outline", "the outline of the repair")
	if err != nil {
		return err
	}
	r := piece.Repair{Name: name, Photo: f.text("photo"), Outline: outline}
	d.Piece.Repairs = slices.DeleteFunc(d.Piece.Repairs, func(o piece.Repair) bool { return o.Name == name })
	d.Piece.Repairs = append(d.Piece.Repairs, r)
	return nil
}
