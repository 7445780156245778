package web

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"huewright/internal/piece"
	"huewright/internal/workshop"
)

var (
	errNoPhoto   = &wrong{"that photo is not here", "choose one of the piece's photos"}
	errNoArea    = &wrong{"that area is not here", "choose one of the piece's areas"}
	errNoCoating = &wrong{"that coating is not here", "choose one of the piece's coatings"}
)

func (d *Draft) photo(name string) *piece.Photo {
	for i := range d.Piece.Photos {
		if d.Piece.Photos[i].Name == name {
			return &d.Piece.Photos[i]
		}
	}
	return nil
}

func (d *Draft) area(name string) *piece.Area {
	for i := range d.Piece.Areas {
		if d.Piece.Areas[i].Name == name {
			return &d.Piece.Areas[i]
		}
	}
	return nil
}

func (d *Draft) coating(name string) *piece.Coating {
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
