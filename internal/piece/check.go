package piece

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"huewright/blend"
	"huewright/colour"
)

func (c *checker) run() error {
	p := c.piece
	c.size(c.limits.OrDefault())
	c.within("tolerance", p.Tolerance, 0, 20, "a difference in ΔE00; leave it out for 2.0")
	c.within("max_coats", float64(p.MaxCoats), 0, 50, "a whole number of coats; leave it out for 12")
	c.within("least_grain", p.LeastGrain, 0, 1, "the share of the grain's contrast to keep, 0 to 1; leave it out for 0.5")
	c.oneOf("units", p.Units, unitSystems)
	c.within("spare", p.Spare, 0, 0.9, "the share of each batch to be left over, 0 to 0.9; leave it out for 0.15")
	c.names("photo", len(p.Photos), func(i int) string { return p.Photos[i].Name })
	c.names("area", len(p.Areas), func(i int) string { return p.Areas[i].Name })
	c.names("coating", len(p.Coatings), func(i int) string { return p.Coatings[i].Name })
	for i := range p.Photos {
		c.photo(fmt.Sprintf("photo[%d]", i), &p.Photos[i])
	}
	c.names("tie", len(p.Ties), func(i int) string { return p.Ties[i].Name })
	for i := range p.Ties {
		c.tie(fmt.Sprintf("tie[%d]", i), &p.Ties[i])
	}
	if p.Target != nil {
		c.source("target", p.Target)
	}
	for i := range p.Areas {
		c.area(fmt.Sprintf("area[%d]", i), &p.Areas[i])
	}
	for i := range p.Coatings {
		c.coating(fmt.Sprintf("coating[%d]", i), &p.Coatings[i])
	}
	c.names("repair", len(p.Repairs), func(i int) string { return p.Repairs[i].Name })
	for i := range p.Repairs {
		r, at := &p.Repairs[i], fmt.Sprintf("repair[%d]", i)
		c.photoName(at, r.Photo)
		c.outline(at+".outline", r.Outline)
		if r.Wood != "" {
			c.outline(at+".wood", r.Wood)
		}
		for k := range r.Exclude {
			c.outline(fmt.Sprintf("%s.exclude[%d]", at, k), r.Exclude[k])
		}
	}
	if p.Room != nil {
		c.room(p.Room)
	}
	if y := p.YearMade; y != 0 && (y < 1000 || y > 9999) {
		c.fault("year_made", fmt.Sprintf("year_made is %d", y), "the year the piece was made, about: 1930; leave it out where it is not known")
	}
	if p.Clear != nil {
		c.clear(p.Clear)
		for i := range p.Clear.Tests {
			at := fmt.Sprintf("clear.test[%d]", i)
			c.source(at+".before", &p.Clear.Tests[i].Before)
			c.source(at+".after", &p.Clear.Tests[i].After)
		}
	}
	if c.err != nil {
		return c.err
	}
	return nil
}

// names checks that every element of an array of tables has a name of its own.
func (c *checker) names(heading string, n int, name func(int) string) {
	seen := map[string]bool{}
	for i := range n {
		path := fmt.Sprintf("%s[%d]", heading, i)
		switch {
		case name(i) == "":
			c.fault(path, "this "+heading+" has no name", "add: name = \"…\"")
		case seen[name(i)]:
			c.fault(path+".name", fmt.Sprintf("a second %s named %q", heading, name(i)), "give each its own name")
		}
		seen[name(i)] = true
	}
}

func (c *checker) photo(path string, p *Photo) {
	if p.File == "" {
		c.fault(path, fmt.Sprintf("photo %q names no file", p.Name), "add: file = \"….jpg\", relative to the piece file")
	}
	ref, err := p.ReadReference()
	if err != nil {
		c.fault(path+"."+referenceKey(err), err.Error(), HintOf(err))
		return
	}
	if err := ref.Check(); err != nil {
		c.fault(path+"."+referenceKey(err), err.Error(), HintOf(err))
	}
}

func (c *checker) area(path string, a *Area) {
	c.photoName(path, a.Photo)
	c.outline(path+".outline", a.Outline)
	for i := range a.Shown {
		c.outline(fmt.Sprintf("%s.shown[%d]", path, i), a.Shown[i])
	}
	c.oneOf(path+".surface", a.Surface, Surfaces)
	c.inPhotos(path+".also", a.Also)
	if _, twice := a.Also[a.Photo]; twice && a.Photo != "" {
		c.fault(path+".also."+a.Photo, fmt.Sprintf("area %q is in photo %q twice", a.Name, a.Photo), "also is for further photos")
	}
	for i := range a.Laid {
		c.laid(fmt.Sprintf("%s.laid[%d]", path, i), &a.Laid[i])
	}
	c.within(path+".size_m2", a.SizeM2, 0, 1000, "square metres to be coated")
	if a.Target != nil {
		c.source(path+".target", a.Target)
	}
}

func (c *checker) laid(path string, l *LaidCoats) {
	if !slices.ContainsFunc(c.piece.Coatings, func(k Coating) bool { return k.Name == l.Coating }) {
		c.fault(path+".coating", fmt.Sprintf("there is no coating %q", l.Coating),
			"the coatings are: "+namesOf(c.piece.Coatings, func(k *Coating) string { return k.Name }))
	}
	if l.Coats < 1 || l.Coats > 50 {
		c.fault(path+".coats", fmt.Sprintf("coats is %d", l.Coats), "count the coats that were put on, from 1 to 50")
	}
	c.source(path+".after", &l.After)
}

func (c *checker) tie(path string, t *Tie) {
	if len(t.In) < 2 {
		c.fault(path+".in", fmt.Sprintf("tie %q is in %d photo%s, need 2 or more", t.Name, len(t.In), Plural(len(t.In))),
			"outline it in each photo that shows it: in = { front = \"x,y,w,h\", side = \"x,y,w,h\" }")
	}
	c.inPhotos(path+".in", t.In)
}

// inPhotos checks outlines that are given by the names of their photos.
func (c *checker) inPhotos(path string, outlines map[string]string) {
	for _, photo := range slices.Sorted(maps.Keys(outlines)) {
		at := path + "." + photo
		if !slices.ContainsFunc(c.piece.Photos, func(p Photo) bool { return p.Name == photo }) {
			c.fault(at, fmt.Sprintf("there is no photo %q", photo), "the photos are: "+c.photoNames())
		}
		c.outline(at, outlines[photo])
	}
}

func (c *checker) coating(path string, k *Coating) {
	if k.Kind == "" {
		c.fault(path, fmt.Sprintf("coating %q does not say what kind it is", k.Name),
			"add: kind = \"…\", one of: "+strings.Join(blend.Kinds, ", "))
	}
	c.oneOf(path+".kind", k.Kind, blend.Kinds)
	c.within(path+".spread", k.Spread, 0, 100, "square metres that a litre covers in one coat, as the label says")
	c.oneOf(path+".family", k.Family, blend.Families)
	c.oneOf(path+".put_on", k.PutOn, blend.PutOns)
	c.drying(path, &k.DryingLabel)
	if k.Chip == nil && len(k.Tests) == 0 && !k.Earlier {
		c.fault(path, fmt.Sprintf("nothing is known of coating %q", k.Name),
			"give it a chip (its colour where it hides), or a test coat, or both; or earlier = true where a log knows it from earlier pieces")
	}
	if k.Chip != nil {
		c.source(path+".chip", k.Chip)
	}
	c.dilution(path+".dilution", k.Dilution)
	for i := range k.Tests {
		t, at := &k.Tests[i], fmt.Sprintf("%s.test[%d]", path, i)
		if !(t.Coats > 0 && t.Coats <= 50) {
			c.fault(at+".coats", fmt.Sprintf("coats is %v", t.Coats), "a test coat has from one coat to 50; count what was put on")
		}
		c.dilution(at+".dilution", t.Dilution)
		c.source(at+".ground", &t.Ground)
		c.source(at+".result", &t.Result)
	}
}

func (c *checker) dilution(path string, d *Dilution) {
	if d == nil {
		return
	}
	const advice = "parts by volume, as in: dilution = { paint = 1, water = 4 }"
	c.within(path+".water", d.Water, 0, 1000, advice)
	if !(d.Paint > 0 && d.Paint <= 1000) {
		c.fault(path+".paint", fmt.Sprintf("paint is %v parts", d.Paint), advice)
	}
}

func (c *checker) source(path string, s *ColourSource) {
	const advice = "a colour is exactly one of: outline = \"x,y,w,h\" (in a photo), area = \"…\", lab = [L, a, b], hex = \"#…\""
	given := 0
	for _, has := range []bool{s.Outline != "", s.Area != "", s.Lab != nil, s.Hex != ""} {
		if has {
			given++
		}
	}
	if given != 1 {
		c.fault(path, fmt.Sprintf("%s says %s where its colour comes from", lastKey(path), times(given)), advice)
		return
	}
	c.oneOf(path+".surface", s.Surface, Surfaces)
	switch {
	case s.Outline != "":
		c.photoName(path, s.Photo)
		c.outline(path+".outline", s.Outline)
	case s.Area != "":
		if !slices.ContainsFunc(c.piece.Areas, func(a Area) bool { return a.Name == s.Area }) {
			c.fault(path+".area", fmt.Sprintf("there is no area %q", s.Area),
				"the areas are: "+namesOf(c.piece.Areas, func(a *Area) string { return a.Name }))
		}
	case s.Lab != nil:
		if err := CheckLab(s.Lab); err != nil {
			c.fault(path+".lab", err.Error(), "lab = [L, a, b], L* from 0 to 100, as in [44.1, 14.2, 19.8]")
		}
	default:
		if _, err := colour.ParseHex(s.Hex); err != nil {
			c.fault(path+".hex", err.Error(), "six hexadecimal digits after #")
		}
	}
}

func times(n int) string {
	if n == 0 {
		return "nowhere"
	}
	return "more than once"
}

func (c *checker) photoName(path, name string) {
	if name == "" && len(c.piece.Photos) == 1 {
		return
	}
	switch {
	case len(c.piece.Photos) == 0:
		c.fault(path, "an outline, but the piece has no photo to draw it on", "add a [[photo]] with a name and a file")
	case name == "":
		c.fault(path, "does not say which photo", "add: photo = \"…\", one of: "+c.photoNames())
	case !slices.ContainsFunc(c.piece.Photos, func(p Photo) bool { return p.Name == name }):
		c.fault(path+".photo", fmt.Sprintf("there is no photo %q", name), "the photos are: "+c.photoNames())
	}
}

// namesOf are the names of elements of the piece file, as advice lists them.
func namesOf[T any](all []T, name func(*T) string) string {
	names := make([]string, len(all))
	for i := range all {
		names[i] = name(&all[i])
	}
	return strings.Join(names, ", ")
}

func (c *checker) photoNames() string {
	return namesOf(c.piece.Photos, func(p *Photo) string { return p.Name })
}
