package web

import (
	"slices"

	"huewright/internal/fault"
	"huewright/internal/piece"
)

// describePiece sets what is said of the whole piece.
func describePiece(d *pieceDraft, f form) error {
	var err error
	if d.Piece.Tolerance, err = f.number("tolerance", "tolerance"); err != nil {
		return err
	}
	if d.Piece.Hours, err = f.number("hours", "hours of work"); err != nil {
		return err
	}
	year, err := f.number("year", "the year it was made")
	if err != nil {
		return err
	}
	d.Piece.YearMade, d.Piece.Units, d.Piece.OldFinish = int(year), f.text("units"), f.yesNo("old-finish")
	d.Piece.Country = f.text("country")
	return nil
}

// setRoom sets where and when the work is done.
func setRoom(d *pieceDraft, f form) error {
	r := piece.Room{
		Start: f.text("start"), Opens: f.text("opens"), Closes: f.text("closes"),
		Indoors: f.yesNo("indoors"), Children: f.yesNo("children"),
	}
	var err error
	if r.Temperature, err = f.optionalNumber("temperature", "temperature"); err != nil {
		return err
	}
	if r.Humidity, err = f.optionalNumber("humidity", "humidity"); err != nil {
		return err
	}
	d.Piece.Room = &r
	return nil
}

// remove takes away what its name says, and what leans on it.
func remove(d *pieceDraft, f form) error {
	name := f.text("name")
	switch what := f.text("what"); what {
	case "photo":
		if used := d.uses(name); used != "" {
			return fault.New(fault.Use, "page.photo-in-use", "photo", name, "what", used)
		}
		d.Piece.Photos = slices.DeleteFunc(d.Piece.Photos, func(p piece.Photo) bool { return p.Name == name })
		delete(d.Photos, name)
		delete(d.Slips, name)
	case "area":
		d.Piece.Areas = slices.DeleteFunc(d.Piece.Areas, func(a piece.Area) bool { return a.Name == name })
		delete(d.Read, name)
		delete(d.On, name)
	case "coating":
		if mix := d.mixWith(name); mix != "" {
			return fault.New(fault.Use, "page.coating-in-mix", "name", name, "mix", mix)
		}
		d.Piece.Coatings = slices.DeleteFunc(d.Piece.Coatings, func(k piece.Coating) bool { return k.Name == name })
	case "test":
		if k := d.coating(name); k != nil && len(k.Tests) > 0 {
			k.Tests = k.Tests[:len(k.Tests)-1]
			k.Earlier = fromLogAlone(k)
		}
	case "slip":
		if p := d.photo(name); p != nil && len(p.Neutrals) > 0 {
			p.Neutrals = p.Neutrals[:len(p.Neutrals)-1]
			d.readAgain()
		}
	case "no-slip":
		if p := d.photo(name); p != nil && len(p.NotSlips) > 0 {
			p.NotSlips = p.NotSlips[:len(p.NotSlips)-1]
			d.readAgain()
		}
	case "tie":
		d.Piece.Ties = slices.DeleteFunc(d.Piece.Ties, func(t piece.Tie) bool { return t.Name == name })
		if name == slipOfPaper {
			d.Slips = nil
		}
	case "repair":
		d.Piece.Repairs = slices.DeleteFunc(d.Piece.Repairs, func(r piece.Repair) bool { return r.Name == name })
	case "on":
		if on, some := d.On[name]; some && on.Coats > 1 {
			on.Coats--
			d.On[name] = on
		} else {
			delete(d.On, name)
		}
	case "laid":
		if a := d.area(name); a != nil && len(a.Laid) > 0 {
			a.Laid = a.Laid[:len(a.Laid)-1]
		}
	default:
		return fault.New(fault.Use, "page.no-step")
	}
	return nil
}
