package piece

import (
	"fmt"
	"slices"
	"unicode/utf8"
)

// size holds a piece to its limits.
func (c *checker) size(l Limits) {
	p := c.piece
	for _, v := range []struct {
		heading string
		n, most int
		key     string
	}{
		{"photo", len(p.Photos), l.Photos, "photos"}, {"area", len(p.Areas), l.Areas, "areas"},
		{"coating", len(p.Coatings), l.Coatings, "coatings"}, {"repair", len(p.Repairs), l.Areas, "areas"},
		{"tie", len(p.Ties), l.Areas, "areas"},
	} {
		if v.n > v.most {
			c.fault(fmt.Sprintf("%s[%d]", v.heading, v.most), "piece.too-many", "heading", v.heading, "n", v.n, "most", v.most, "limit", v.key)
			c.err.Place.Area = "" // it is about all of them
		}
	}
	for i := range p.Coatings {
		if n := len(p.Coatings[i].Tests); n > l.Areas {
			c.fault(fmt.Sprintf("coating[%d].test[%d]", i, l.Areas), "piece.too-many-tests", "n", n, "most", l.Areas)
		}
	}
	names := []string{p.Name}
	for i := range p.Photos {
		names = append(names, p.Photos[i].Name)
	}
	for i := range p.Areas {
		names = append(names, p.Areas[i].Name, p.Areas[i].Wood)
	}
	for i := range p.Coatings {
		names = append(names, p.Coatings[i].Name, p.Coatings[i].Batch)
	}
	for i := range p.Repairs {
		names = append(names, p.Repairs[i].Name)
	}
	for i := range p.Ties {
		names = append(names, p.Ties[i].Name)
	}
	if i := slices.IndexFunc(names, func(name string) bool { return utf8.RuneCountInString(name) > l.Letters }); i >= 0 {
		c.fault("", "piece.long-name", "begins", fmt.Sprintf("%.40s", names[i]), "letters", utf8.RuneCountInString(names[i]), "most", l.Letters)
	}
}
