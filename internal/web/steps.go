package web

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"huewright/internal/workshop"
)

// A step changes a draft as a form says. It returns what it did, as "the area frame".
type step func(d *Draft, f form) (did string, err error)

// steps are all that a page may ask for that changes a piece and nothing else.
var steps = map[string]step{
	"piece": func(d *Draft, f form) (string, error) {
		var err error
		if d.Piece.Tolerance, err = f.number("tolerance", "tolerance"); err != nil {
			return "", err
		}
		year, err := f.number("year", "the year it was made")
		if err != nil {
			return "", err
		}
		d.Piece.YearMade, d.Piece.Units, d.Piece.OldFinish = int(year), f.text("units"), f.yesNo("old-finish")
		return "what is said of the piece", nil
	},
	"reference": func(d *Draft, f form) (string, error) {
		p := d.photo(f.text("photo"))
		if p == nil {
			return "", errNoPhoto
		}
		p.Reference, p.Corners, p.Grey, p.GreyLightness = "none", "", "", 0
		switch f.text("kind") {
		case "chart":
			corners, err := f.need("corners", "the chart's corners")
			if err != nil {
				return "", err
			}
			p.Reference, p.Corners = "chart", corners
		case "paper", "grey card":
			outline, err := f.need("outline", "the outline of the paper or card")
			if err != nil {
				return "", err
			}
			p.Reference, p.Grey, p.GreyLightness = "grey", outline, 94
			if f.text("kind") == "grey card" {
				p.GreyLightness = 50
			}
		}
		d.Read = map[string]workshop.SpotReading{}
		return "the reference of photo " + p.Name, nil
	},
	"slip": func(d *Draft, f form) (string, error) {
		p, outline, err := f.slip(d)
		if err != nil {
			return "", err
		}
		p.Neutrals = append(p.Neutrals, outline)
		d.Read = map[string]workshop.SpotReading{}
		return "a slip of paper in photo " + p.Name, nil
	},
	// paper agrees that something is a slip of white paper. In a photo without a reference the first one is
	// that; the others tell of the light; and the first in each of several photos ties them.
	"paper": func(d *Draft, f form) (string, error) {
		p, outline, err := f.slip(d)
		if err != nil {
			return "", err
		}
		if !slices.Contains(p.Neutrals, outline) {
			p.Neutrals = append(p.Neutrals, outline)
		}
		if p.Reference == "none" && p.Corners == "" && p.Grey == "" {
			p.Reference, p.Grey, p.GreyLightness = "grey", outline, 94
		}
		i := slices.IndexFunc(d.Piece.Ties, func(t workshop.Tie) bool { return t.Name == slipOfPaper })
		if i < 0 {
			d.Slips = orNew(d.Slips)
			if d.Slips[p.Name] == "" {
				d.Slips[p.Name] = outline
			}
			if len(d.Slips) > 1 {
				d.Piece.Ties = append(d.Piece.Ties, workshop.Tie{Name: slipOfPaper, In: maps.Clone(d.Slips)})
			}
		} else if d.Piece.Ties[i].In[p.Name] == "" {
			d.Piece.Ties[i].In[p.Name] = outline
		}
		d.Read = map[string]workshop.SpotReading{}
		return "a slip of paper in photo " + p.Name, nil
	},
	"tie": func(d *Draft, f form) (string, error) {
		name, err := f.need("name", "the name of what stays the same")
		if err != nil {
			return "", err
		}
		outline, err := f.need("outline", "its outline")
		if err != nil {
			return "", err
		}
		photo := f.text("photo")
		if d.photo(photo) == nil {
			return "", errNoPhoto
		}
		i := slices.IndexFunc(d.Piece.Ties, func(t workshop.Tie) bool { return t.Name == name })
		if i < 0 {
			d.Piece.Ties = append(d.Piece.Ties, workshop.Tie{Name: name, In: map[string]string{}})
			i = len(d.Piece.Ties) - 1
		}
		d.Piece.Ties[i].In[photo] = outline
		return fmt.Sprintf("%s in photo %s", name, photo), nil
	},
	"area": func(d *Draft, f form) (string, error) {
		name, err := f.need("name", "the name of the area")
		if err != nil {
			return "", err
		}
		outline, err := f.need("outline", "the outline of the area")
		if err != nil {
			return "", err
		}
		size, err := f.number("size", "its size")
		if err != nil {
			return "", err
		}
		a := workshop.PieceArea{Name: name, Photo: f.text("photo"), Outline: outline, Wood: f.text("wood"), Surface: f.text("surface"), SizeM2: size}
		delete(d.Read, name)
		if was := d.area(name); was != nil {
			a.Laid, a.Also, a.Shown, a.Target = was.Laid, was.Also, was.Shown, was.Target
			*was = a
		} else {
			d.Piece.Areas = append(d.Piece.Areas, a)
		}
		return "the area " + name, nil
	},
	"also": func(d *Draft, f form) (string, error) {
		a := d.area(f.text("area"))
		if a == nil {
			return "", errNoArea
		}
		outline, err := f.need("outline", "the outline of the area")
		if err != nil {
			return "", err
		}
		photo := f.text("photo")
		if photo == a.Photo { // in its own photo: all of it, for pictures
			a.Shown = append(a.Shown, outline)
			return "more of the area " + a.Name, nil
		}
		if a.Also == nil {
			a.Also = map[string]string{}
		}
		a.Also[photo] = outline
		return fmt.Sprintf("the area %s in photo %s", a.Name, photo), nil
	},
	"target": func(d *Draft, f form) (string, error) {
		target, err := f.source("target", "the target")
		d.Piece.Target = target
		return "the target", err
	},
	"coating": func(d *Draft, f form) (string, error) {
		name, err := f.need("name", "the name of the coating")
		if err != nil {
			return "", err
		}
		chip, err := f.source("chip", "the chip")
		if err != nil {
			return "", err
		}
		mix, err := f.dilution()
		if err != nil {
			return "", err
		}
		k := workshop.Coating{Name: name, Kind: f.text("kind"), Family: f.text("family"), PutOn: f.text("put-on"), Batch: f.text("batch"), Chip: chip, Dilution: mix}
		if k.RecoatAfter, err = f.number("recoat-after", "hours to the next coat"); err != nil {
			return "", err
		}
		if was := d.coating(name); was != nil {
			k.Tests = was.Tests
			if k.Chip == nil {
				k.Chip = was.Chip
			}
			k.Earlier = k.Chip == nil && len(k.Tests) == 0
			*was = k
		} else {
			k.Earlier = k.Chip == nil // until a test coat comes; the log may know it
			d.Piece.Coatings = append(d.Piece.Coatings, k)
		}
		return "the coating " + name, nil
	},
	"test": func(d *Draft, f form) (string, error) {
		k := d.coating(f.text("coating"))
		if k == nil {
			return "", errNoCoating
		}
		coats, err := f.number("coats", "how many coats")
		if err != nil {
			return "", err
		}
		if coats == 0 {
			coats = 1
		}
		ground, err := f.needSource("ground", "the bare wood beside it")
		if err != nil {
			return "", err
		}
		result, err := f.needSource("result", "the test coat")
		if err != nil {
			return "", err
		}
		k.Tests, k.Earlier = append(k.Tests, workshop.TestCoat{Coats: coats, Ground: ground, Result: result}), false
		return "a test coat of " + k.Name, nil
	},
	"clear": func(d *Draft, f form) (string, error) {
		if f.text("name") == "" {
			d.Piece.Clear = nil
			return "the clear coat", nil
		}
		coats, err := f.number("coats", "how many clear coats")
		if err != nil {
			return "", err
		}
		c := workshop.Clear{Name: f.text("name"), Family: f.text("family"), Coats: int(coats)}
		if d.Piece.Clear != nil {
			c.Tests = d.Piece.Clear.Tests
		}
		d.Piece.Clear = &c
		return "the clear coat", nil
	},
	"room": func(d *Draft, f form) (string, error) {
		r := workshop.Room{Start: f.text("start"), Opens: f.text("opens"), Closes: f.text("closes"), Indoors: f.yesNo("indoors"), Children: f.yesNo("children")}
		var err error
		if r.Temperature, err = f.maybe("temperature", "temperature"); err != nil {
			return "", err
		}
		if r.Humidity, err = f.maybe("humidity", "humidity"); err != nil {
			return "", err
		}
		d.Piece.Room = &r
		return "the room", nil
	},
	"laid": func(d *Draft, f form) (string, error) {
		a := d.area(f.text("area"))
		if a == nil {
			return "", errNoArea
		}
		coats, err := f.number("coats", "how many coats")
		if err != nil {
			return "", err
		}
		if coats == 0 {
			coats = 1
		}
		after, err := f.needSource("after", "how it looks now")
		if err != nil {
			return "", err
		}
		a.Laid = append(a.Laid, workshop.LaidCoats{Coating: f.text("coating"), Coats: int(coats), After: after})
		return fmt.Sprintf("a coat on %s", a.Name), nil
	},
	"repair": func(d *Draft, f form) (string, error) {
		name, err := f.need("name", "the name of the repair")
		if err != nil {
			return "", err
		}
		outline, err := f.need("outline", "the outline of the repair")
		if err != nil {
			return "", err
		}
		r := workshop.PieceRepair{Name: name, Photo: f.text("photo"), Outline: outline}
		d.Piece.Repairs = slices.DeleteFunc(d.Piece.Repairs, func(o workshop.PieceRepair) bool { return o.Name == name })
		d.Piece.Repairs = append(d.Piece.Repairs, r)
		return "the repair " + name, nil
	},
	"remove": remove,
}

// slip is the photo that a slip of paper is in, and where.
func (f form) slip(d *Draft) (*workshop.PiecePhoto, string, error) {
	p := d.photo(f.text("photo"))
	if p == nil {
		return nil, "", errNoPhoto
	}
	outline, err := f.need("outline", "the outline of the slip")
	return p, outline, err
}

// slipOfPaper is what the tie is called that agreed slips make.
const slipOfPaper = "slip of paper"

func orNew(m map[string]string) map[string]string {
	if m == nil {
		return map[string]string{}
	}
	return m
}

var (
	errNoPhoto   = &wrong{"that photo is not here", "choose one of the piece's photos"}
	errNoArea    = &wrong{"that area is not here", "choose one of the piece's areas"}
	errNoCoating = &wrong{"that coating is not here", "choose one of the piece's coatings"}
)

// remove takes away what its name says, and what leans on it.
func remove(d *Draft, f form) (string, error) {
	name := f.text("name")
	switch what := f.text("what"); what {
	case "photo":
		if used := d.uses(name); used != "" {
			return "", &wrong{fmt.Sprintf("photo %s still shows %s", name, used), "take that away first"}
		}
		d.Piece.Photos = slices.DeleteFunc(d.Piece.Photos, func(p workshop.PiecePhoto) bool { return p.Name == name })
		delete(d.Photos, name)
		delete(d.Slips, name)
	case "area":
		d.Piece.Areas = slices.DeleteFunc(d.Piece.Areas, func(a workshop.PieceArea) bool { return a.Name == name })
		delete(d.Read, name)
	case "coating":
		d.Piece.Coatings = slices.DeleteFunc(d.Piece.Coatings, func(k workshop.Coating) bool { return k.Name == name })
	case "test":
		if k := d.coating(name); k != nil && len(k.Tests) > 0 {
			k.Tests = k.Tests[:len(k.Tests)-1]
			k.Earlier = k.Chip == nil && len(k.Tests) == 0
		}
	case "slip":
		if p := d.photo(name); p != nil && len(p.Neutrals) > 0 {
			p.Neutrals = p.Neutrals[:len(p.Neutrals)-1]
			d.Read = map[string]workshop.SpotReading{}
		}
	case "tie":
		d.Piece.Ties = slices.DeleteFunc(d.Piece.Ties, func(t workshop.Tie) bool { return t.Name == name })
		if name == slipOfPaper {
			d.Slips = nil
		}
	case "repair":
		d.Piece.Repairs = slices.DeleteFunc(d.Piece.Repairs, func(r workshop.PieceRepair) bool { return r.Name == name })
	case "laid":
		if a := d.area(name); a != nil && len(a.Laid) > 0 {
			a.Laid = a.Laid[:len(a.Laid)-1]
		}
	default:
		return "", &wrong{"there is nothing of that kind to take away", "go back and choose it again"}
	}
	return fmt.Sprintf("taking away %s %s", f.text("what"), name), nil
}

func (d *Draft) photo(name string) *workshop.PiecePhoto {
	for i := range d.Piece.Photos {
		if d.Piece.Photos[i].Name == name {
			return &d.Piece.Photos[i]
		}
	}
	return nil
}

func (d *Draft) area(name string) *workshop.PieceArea {
	for i := range d.Piece.Areas {
		if d.Piece.Areas[i].Name == name {
			return &d.Piece.Areas[i]
		}
	}
	return nil
}

func (d *Draft) coating(name string) *workshop.Coating {
	for i := range d.Piece.Coatings {
		if d.Piece.Coatings[i].Name == name {
			return &d.Piece.Coatings[i]
		}
	}
	return nil
}

// uses says what a photo shows that the piece needs; "" for nothing.
func (d *Draft) uses(photo string) string {
	for _, a := range d.Piece.Areas {
		if a.Photo == photo || a.Also[photo] != "" {
			return "the area " + a.Name
		}
		for _, l := range a.Laid {
			if l.After.Photo == photo {
				return "a coat on " + a.Name
			}
		}
	}
	for _, k := range d.Piece.Coatings {
		if k.Chip != nil && k.Chip.Photo == photo {
			return "the chip of " + k.Name
		}
		for _, t := range k.Tests {
			if t.Ground.Photo == photo || t.Result.Photo == photo {
				return "a test coat of " + k.Name
			}
		}
	}
	if d.Piece.Target != nil && d.Piece.Target.Photo == photo {
		return "the target"
	}
	for _, r := range d.Piece.Repairs {
		if r.Photo == photo {
			return "the repair " + r.Name
		}
	}
	for _, t := range d.Piece.Ties {
		if slices.Contains(slices.Collect(maps.Keys(t.In)), photo) {
			return t.Name
		}
	}
	return ""
}

// freeName is a name for a photo that none has yet.
func (d *Draft) freeName(file string) string {
	base := strings.Join(strings.Fields(strings.Map(func(r rune) rune {
		if r < ' ' || strings.ContainsRune(`/\"'<>`, r) {
			return ' '
		}
		return r
	}, workshop.PhotoName(file))), " ") // as forms have it
	if len(base) > 40 || base == "" || base == "." {
		base = "photo"
	}
	for n, name := 2, base; ; n++ {
		if d.photo(name) == nil {
			return name
		}
		name = fmt.Sprintf("%s %d", base, n)
	}
}
