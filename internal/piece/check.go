package piece

import (
	"errors"
	"fmt"
	"maps"
	"slices"

	"huewright/blend"
	"huewright/blend/schedule"
	"huewright/colour"
	"huewright/imageio/region"
	"huewright/internal/fault"
)

func (c *checker) run() error {
	p := c.piece
	c.size(c.limits.OrDefault())
	c.within("tolerance", "piece.tolerance", p.Tolerance, 0, 20)
	c.within("max_coats", "piece.max-coats", float64(p.MaxCoats), 0, 50)
	c.within("least_grain", "piece.least-grain", p.LeastGrain, 0, 1)
	c.within("price", "piece.price", p.Price, 0, 10)
	c.oneOf("prefer", p.Prefer, preferences)
	c.oneOf("units", p.Units, unitSystems)
	c.within("spare", "piece.spare", p.Spare, 0, 0.9)
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
	c.layers(p.Layers)
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
	if p.YearMade != 0 {
		c.within("year_made", "piece.year-made", float64(p.YearMade), 1000, 9999)
	}
	c.within("hours", "piece.hours", p.Hours, 0, 10000)
	c.oneOf("country", p.Country, schedule.Countries)
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
			c.fault(path, "piece.no-name", "heading", heading)
		case seen[name(i)]:
			c.fault(path+".name", "piece.same-name", "heading", heading, "name", name(i))
		}
		seen[name(i)] = true
	}
}

func (c *checker) photo(path string, p *Photo) {
	if p.File == "" {
		c.fault(path, "piece.no-photo-file")
	}
	ref, err := p.ReadReference()
	if err == nil {
		err = ref.Check()
	}
	if at := (*keyFault)(nil); errors.As(err, &at) {
		c.keep(path+"."+at.key, at.Fault)
	}
}

func (c *checker) area(path string, a *Area) {
	typed := a.Typed()
	switch {
	case a.Tap != "":
		c.tap(path, a, typed != nil)
	case typed != nil:
		c.source(path, typed)
	default:
		c.photoName(path, a.Photo)
		c.outline(path+".outline", a.Outline)
		c.plusMinus(path, a.PlusMinus, false)
	}
	for i := range a.Shown {
		c.outline(fmt.Sprintf("%s.shown[%d]", path, i), a.Shown[i])
	}
	c.oneOf(path+".surface", a.Surface, Surfaces)
	c.oneOf(path+".state", a.State, States)
	c.partOf(path, a)
	c.inPhotos(path+".also", a.Also)
	if _, twice := a.Also[a.Photo]; twice && a.Photo != "" {
		c.fault(path+".also."+a.Photo, "piece.twice-in-photo", "photo", a.Photo)
	}
	for i := range a.Laid {
		c.laid(fmt.Sprintf("%s.laid[%d]", path, i), &a.Laid[i])
	}
	c.within(path+".size_m2", "piece.size", a.SizeM2, 0, 1000)
	if a.Target != nil {
		c.source(path+".target", a.Target)
	}
}

func (c *checker) tap(path string, a *Area, typed bool) {
	if typed || a.Outline != "" {
		c.fault(path+".tap", "piece.tap-and-more", "name", a.Name)
	}
	c.photoName(path, a.Photo)
	if _, err := region.ParseTaps(a.Tap); err != nil {
		c.keep(path+".tap", fault.Of(err))
	}
	c.plusMinus(path, a.PlusMinus, false)
}

func (c *checker) laid(path string, l *LaidCoats) {
	if names := namesOf(c.piece.Coatings, func(k *Coating) string { return k.Name }); !slices.Contains(names, l.Coating) {
		c.keep(path+".coating", Unknown("piece.no-coating", l.Coating, names))
	}
	c.within(path+".coats", "piece.laid-coats", float64(l.Coats), 1, 50)
	c.source(path+".after", &l.After)
}

func (c *checker) tie(path string, t *Tie) {
	if len(t.In) < 2 {
		c.fault(path+".in", "piece.tie-photos", "n", len(t.In))
	}
	c.inPhotos(path+".in", t.In)
}

// inPhotos checks outlines that are given by the names of their photos.
func (c *checker) inPhotos(path string, outlines map[string]string) {
	for _, photo := range slices.Sorted(maps.Keys(outlines)) {
		at := path + "." + photo
		if names := c.photoNames(); !slices.Contains(names, photo) {
			c.keep(at, Unknown("piece.no-photo", photo, names))
		}
		c.outline(at, outlines[photo])
	}
}

func (c *checker) coating(path string, k *Coating) {
	if k.Kind == "" {
		c.fault(path, "piece.no-kind", "kinds", blend.Kinds)
	}
	c.oneOf(path+".kind", k.Kind, blend.Kinds)
	c.within(path+".spread", "piece.spread", k.Spread, 0, 100)
	c.oneOf(path+".family", k.Family, blend.Families)
	c.oneOf(path+".put_on", k.PutOn, blend.PutOns)
	c.drying(path, &k.DryingLabel)
	if k.Chip == nil && len(k.Tests) == 0 && !k.Earlier {
		c.fault(path, "piece.unknown-coating")
	}
	if k.Chip != nil {
		c.source(path+".chip", k.Chip)
	}
	c.dilution(path+".dilution", k.Dilution)
	c.parts(path, k)
	for i := range k.Tests {
		t, at := &k.Tests[i], fmt.Sprintf("%s.test[%d]", path, i)
		if !(t.Coats > 0 && t.Coats <= 50) {
			c.fault(at+".coats", "piece.test-coats", "value", t.Coats, "high", 50)
		}
		c.dilution(at+".dilution", t.Dilution)
		if t.Strip && t.Board == "" {
			c.fault(at+".strip", "piece.strip-without-board")
		}
		c.source(at+".ground", &t.Ground)
		c.source(at+".result", &t.Result)
	}
}

// parts checks what a mix was stirred together of: two other coatings at least, each by itself and once.
func (c *checker) parts(path string, k *Coating) {
	switch {
	case len(k.Parts) == 0 && k.Weighed:
		c.fault(path+".weighed", "piece.weighed-without-parts")
	case len(k.Parts) == 1:
		c.fault(path+".parts", "piece.one-part")
	}
	seen := map[string]bool{}
	for i, p := range k.Parts {
		at := fmt.Sprintf("%s.parts[%d]", path, i)
		names := namesOf(c.piece.Coatings, func(o *Coating) string { return o.Name })
		switch other := c.piece.CoatingNamed(p.Coating); {
		case other == nil:
			c.keep(at+".coating", Unknown("piece.no-coating", p.Coating, names))
		case other.Name == k.Name || len(other.Parts) > 0:
			c.fault(at+".coating", "piece.part-is-mix", "name", p.Coating)
		case seen[p.Coating]:
			c.fault(at+".coating", "piece.part-twice", "name", p.Coating)
		}
		if !(p.Parts >= 0.001 && p.Parts <= 1000) {
			c.fault(at+".parts", "piece.parts", "value", p.Parts, "name", p.Coating)
		}
		seen[p.Coating] = true
	}
}

func (c *checker) dilution(path string, d *Dilution) {
	if d == nil {
		return
	}
	c.within(path+".water", "piece.water", d.Water, 0, 1000)
	if !(d.Paint > 0 && d.Paint <= 1000) {
		c.fault(path+".paint", "piece.paint", "value", d.Paint)
	}
}

func (c *checker) source(path string, s *ColourSource) {
	given := 0
	for _, has := range []bool{s.Outline != "", s.Area != "", s.Lab != nil, s.Hex != ""} {
		if has {
			given++
		}
	}
	switch {
	case given == 0:
		c.fault(path, "piece.no-colour", "what", lastKey(path))
		return
	case given > 1:
		c.fault(path, "piece.two-colours", "what", lastKey(path))
		return
	}
	c.oneOf(path+".surface", s.Surface, Surfaces)
	c.oneOf(path+".state", s.State, States)
	if s.State != "" && s.Area != "" {
		c.fault(path+".state", "piece.state-of-area")
	}
	c.plusMinus(path, s.PlusMinus, s.Lab != nil || s.Hex != "")
	switch {
	case s.Outline != "":
		c.photoName(path, s.Photo)
		c.outline(path+".outline", s.Outline)
	case s.Area != "":
		if names := namesOf(c.piece.Areas, func(a *Area) string { return a.Name }); !slices.Contains(names, s.Area) {
			c.keep(path+".area", Unknown("piece.no-area", s.Area, names))
		}
	case s.Lab != nil:
		if err := CheckLab(s.Lab); err != nil {
			c.keep(path+".lab", fault.Of(err))
		}
	default:
		if _, err := colour.ParseHex(s.Hex); err != nil {
			c.keep(path+".hex", fault.Of(err))
		}
	}
}

// plusMinus checks the radius of a colour, which only figures may have: a photo tells its own.
func (c *checker) plusMinus(path string, v float64, figures bool) {
	if v != 0 && !figures {
		c.fault(path+".plus_minus", "piece.measured-plus-minus")
	}
	c.within(path+".plus_minus", "piece.plus-minus", v, 0, 30)
}

func (c *checker) photoName(path, name string) {
	if name == "" && len(c.piece.Photos) == 1 {
		return
	}
	switch names := c.photoNames(); {
	case len(names) == 0:
		c.fault(path, "piece.no-photos")
	case name == "":
		c.fault(path, "piece.which-photo", "names", names)
	case !slices.Contains(names, name):
		c.keep(path+".photo", Unknown("piece.no-photo", name, names))
	}
}

// Unknown is the fault, of a code such as "piece.no-area", of a name that is none of those there are.
func Unknown(code fault.Code, name string, names []string) *fault.Fault {
	return fault.New(fault.Use, code, "name", name, "names", names, "n", len(names))
}

// namesOf are the names of elements of the piece file.
func namesOf[T any](all []T, name func(*T) string) []string {
	names := make([]string, len(all))
	for i := range all {
		names[i] = name(&all[i])
	}
	return names
}

func (c *checker) photoNames() []string {
	return namesOf(c.piece.Photos, func(p *Photo) string { return p.Name })
}
