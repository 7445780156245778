package web

import (
	"fmt"
	"slices"
	"strings"

	"huewright/internal/fault"
	"huewright/internal/piece"
)

var (
	errNoPhoto   = fault.New(fault.Use, "page.no-photo")
	errNoArea    = fault.New(fault.Use, "page.no-area")
	errNoCoating = fault.New(fault.Use, "page.no-coating")
)

func (d *pieceDraft) photo(name string) *piece.Photo {
	return first(d.Piece.Photos, func(one *piece.Photo) bool { return one.Name == name })
}

func (d *pieceDraft) area(name string) *piece.Area {
	return first(d.Piece.Areas, func(one *piece.Area) bool { return one.Name == name })
}

func (d *pieceDraft) coating(name string) *piece.Coating {
	return first(d.Piece.Coatings, func(one *piece.Coating) bool { return one.Name == name })
}

// mixWith is a mix that a coating is part of; "" for none.
func (d *pieceDraft) mixWith(coating string) string {
	for _, k := range d.Piece.Coatings {
		if slices.ContainsFunc(k.Parts, func(p piece.MixPart) bool { return p.Coating == coating }) {
			return k.Name
		}
	}
	return ""
}

// first is the first item of which that holds; nil where there is none.
func first[T any](all []T, holds func(*T) bool) *T {
	for i := range all {
		if holds(&all[i]) {
			return &all[i]
		}
	}
	return nil
}

// uses says what a photo shows that the piece needs; "" for nothing.
func (d *pieceDraft) uses(photo string) string {
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
		if _, shown := t.In[photo]; shown {
			return t.Name
		}
	}
	return ""
}

// freeName is a name for a photo that none has yet.
func (d *pieceDraft) freeName(file string) string {
	base := atMost(40, oneLine(strings.Map(func(r rune) rune {
		if strings.ContainsRune(`/\"'<>`, r) {
			return ' '
		}
		return r
	}, piece.PhotoName(file)))) // as forms have it
	if base == "" || base == "." {
		base = "photo"
	}
	for n, name := 2, base; ; n++ {
		if d.photo(name) == nil {
			return name
		}
		name = fmt.Sprintf("%s %d", base, n)
	}
}
