package workshop

import (
	"context"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"huewright/blend/learn"
	"huewright/blend/plan"
	"huewright/blend/schedule"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// A WhatIf is what comes of other coats than those that are suggested.
type WhatIf struct {
	plan.Choice
	Expected [][]plan.Expected // by area, like AreaPlan.Expected
	Batches  []schedule.Batch  // how much of each coating those coats take
	TouchUps []plan.TouchUp    // of spots, before those coats

	areas []plan.Area  // as they are when those coats begin
	best  learn.Sample // in which they have their colours
}

// whatIf works out what comes of the coats that text names; nil where it names none.
func whatIf(ctx context.Context, text string, d *planData, w *learn.Samples, planned *plan.Plan, r *PlanResult) (*WhatIf, error) {
	if strings.TrimSpace(text) == "" {
		return nil, nil
	}
	on, err := parseCounts(text, &r.Piece, &r.Choices[0])
	if err != nil {
		return nil, err
	}
	told, err := plan.WhatIf(ctx, w, d.problem, planned, on)
	if err != nil {
		return nil, err
	}
	systematic := map[string]float64{}
	for i := range r.Areas {
		systematic[r.Areas[i].Area.Name] = r.Areas[i].Systematic
	}
	areas := slices.Clone(d.problem.Areas)
	touchUps, w, err := touchUps(ctx, &r.Piece, w, d.problem, told, areas)
	if err != nil {
		return nil, err
	}
	what := &WhatIf{Choice: widenedChoices([]plan.Choice{*told}, systematic)[0], TouchUps: touchUps, areas: areas, best: w.Best}
	with := r.with(what)
	for i := range with.Areas {
		expected, err := expect(ctx, w, with, &with.Areas[i])
		if err != nil {
			return nil, err
		}
		what.Expected = append(what.Expected, expected)
	}
	what.Batches = batches(with)
	return what, nil
}

// with returns a result in which a choice stands in the place of the suggested one, which comes after it.
func (r *PlanResult) with(what *WhatIf) *PlanResult {
	other, c := *r, &what.Choice
	other.TouchUps, other.Best = what.TouchUps, what.best
	other.Choices, other.AsGood, other.Tests, other.Mix = append([]plan.Choice{*c}, r.Choices...), nil, nil, nil
	other.Areas = slices.Clone(r.Areas)
	for i := range other.Areas {
		other.Areas[i].Plan = &c.Areas[i]
		if what.areas != nil {
			other.Areas[i].Asked = what.areas[i]
		}
	}
	return &other
}

// Choosing returns the plan with another of its Choices, or, by a number behind those, of AsGood, in the place of the suggested one, to be
// shown on photos; nil where there is none of that number.
func (r *PlanResult) Choosing(i int) *PlanResult {
	c := r.choice(i)
	if c == nil {
		return nil
	}
	other := *r
	other.Areas = slices.Clone(r.Areas)
	for k := range other.Areas {
		other.Areas[k].Plan = &c.Areas[k]
	}
	return &other
}

// AsAsked returns the plan with the coats that somebody named in the place of those that are suggested, to be shown on photos, laid out in
// time and printed; Suggested are those it suggests. Where nobody named any it is the plan itself.
func (r *PlanResult) AsAsked() *PlanResult {
	if r.WhatIf == nil {
		return r
	}
	other := r.with(r.WhatIf)
	other.Batches, other.Suggested = r.WhatIf.Batches, &r.Choices[0]
	for i := range other.Areas {
		other.Areas[i].Expected = r.WhatIf.Expected[i]
	}
	return other
}

// parseCounts reads counts of coats by area, "frame=1 panel=2 pale wash + 1 brown glaze", as coats of each area, undermost first: those of
// the layers of the piece where it has any. An area that text leaves out keeps what chosen lays on it.
func parseCounts(text string, p *piece.Piece, chosen *plan.Choice) ([][]plan.Layer, error) {
	c := &countsReader{piece: p, chosen: chosen, rest: text}
	on := make([][]plan.Layer, len(p.Areas))
	for i := range p.Areas {
		on[i] = c.chosenOn(i)
	}
	given := map[int]bool{}
	for c.skip(" ,;"); c.rest != ""; c.skip(" ,;") {
		i, err := c.area()
		if err != nil {
			return nil, err
		}
		if wood := p.Areas[i].PartOf; wood != "" {
			return nil, fault.New(fault.Use, "use.coats-spot", "area", p.Areas[i].Name, "wood", wood)
		}
		if given[i] {
			return nil, fault.New(fault.Use, "use.coats-twice", "area", p.Areas[i].Name)
		}
		given[i] = true
		if on[i], err = c.coats(i); err != nil {
			return nil, err
		}
	}
	return on, nil
}

// A countsReader reads counts of coats, from the left.
type countsReader struct {
	piece  *piece.Piece
	chosen *plan.Choice
	rest   string
}

func (c *countsReader) skip(chars string) { c.rest = strings.TrimLeft(c.rest, chars+"\t\n") }

// cut takes a name off the rest, whatever its case; end says what may follow it.
func (c *countsReader) cut(name string, end func(rest string) bool) bool {
	if len(c.rest) < len(name) || !strings.EqualFold(c.rest[:len(name)], name) || !end(c.rest[len(name):]) {
		return false
	}
	c.rest = c.rest[len(name):]
	return true
}

// longest takes the longest of some names off the rest; -1 where none stands there.
func (c *countsReader) longest(names []string, end func(rest string) bool) int {
	at := -1
	for i, name := range names {
		before := c.rest
		if name != "" && (at < 0 || len(name) > len(names[at])) && c.cut(name, end) {
			at = i
		}
		c.rest = before
	}
	if at >= 0 {
		c.rest = c.rest[len(names[at]):]
	}
	return at
}

func (c *countsReader) areaNames() (names []string) {
	for i := range c.piece.Areas {
		names = append(names, c.piece.Areas[i].Name)
	}
	return names
}

func (c *countsReader) coatingNames() (names []string) {
	for k := range c.piece.Coatings {
		names = append(names, c.piece.Coatings[k].Name)
	}
	return names
}

// equals reports whether an equals sign is next.
func equals(rest string) bool { return strings.HasPrefix(strings.TrimLeft(rest, " "), "=") }

// area takes an area and the sign after it.
func (c *countsReader) area() (int, error) {
	names := c.areaNames()
	if i := c.longest(names, equals); i >= 0 {
		c.skip(" ")
		c.rest = c.rest[1:]
		return i, nil
	}
	name, _, found := strings.Cut(c.rest, "=")
	if !found {
		return 0, fault.New(fault.Use, "use.coats-form", "text", c.rest, "area", names[0])
	}
	return 0, fault.New(fault.Use, "use.coats-area", "name", strings.TrimSpace(name), "names", names)
}

// chosenOn are the coats that the suggested plan lays on area i, of every layer where the piece has layers.
func (c *countsReader) chosenOn(i int) (ls []plan.Layer) {
	coats := slices.DeleteFunc(slices.Clone(c.chosen.Areas[i].Coats), func(k plan.CoatCount) bool { return k.Count == 0 })
	if len(c.piece.Layers) == 0 {
		for _, k := range coats {
			ls = append(ls, plan.Layer{Coating: c.place(k.Coating), Coats: k.Count})
		}
		return ls
	}
	next := 0 // of the chosen coats: those of each layer that has any, in order
	for l := range c.piece.Layers {
		layer := plan.Layer{Coating: c.place(c.piece.Layers[l].Coating)}
		if c.layerOn(l, i) && next < len(coats) && coats[next].Coating == c.piece.Layers[l].Coating {
			layer.Coats = coats[next].Count
			next++
		}
		ls = append(ls, layer)
	}
	return ls
}

func (c *countsReader) place(coating string) int {
	return slices.IndexFunc(c.piece.Coatings, func(k piece.Coating) bool { return k.Name == coating })
}

func (c *countsReader) layerOn(l, i int) bool {
	return c.piece.Layers[l].Names(c.piece.Areas[i].Name)
}

// A counted is a number of coats as it was read, of a coating by its place, or of none that is named, -1.
type counted struct{ coating, coats int }

// coats takes what is to be laid on area i.
func (c *countsReader) coats(i int) ([]plan.Layer, error) {
	var parts []counted
	for more := true; more; more = c.cut("+", func(string) bool { return true }) {
		c.skip(" ")
		part, err := c.part(i)
		if err != nil {
			return nil, err
		}
		parts = append(parts, part)
		c.skip(" ")
	}
	if len(c.piece.Layers) > 0 {
		return c.onLayers(i, parts)
	}
	if len(parts) == 1 && parts[0].coats == 0 {
		return nil, nil
	}
	if unnamed(parts) && len(c.piece.Coatings) == 1 {
		parts = []counted{{0, total(parts)}}
	} else if usual := c.usualOn(i); unnamed(parts) && len(usual) == len(parts) {
		for k := range parts {
			parts[k].coating = usual[k]
		}
	}
	var ls []plan.Layer
	for _, part := range parts {
		if part.coating < 0 {
			return nil, c.which(i)
		}
		ls = append(ls, plan.Layer{Coating: part.coating, Coats: part.coats})
	}
	return ls, nil
}

// unnamed reports whether no coating is named.
func unnamed(parts []counted) bool {
	return !slices.ContainsFunc(parts, func(part counted) bool { return part.coating >= 0 })
}

func total(parts []counted) (n int) {
	for _, part := range parts {
		n += part.coats
	}
	return n
}

// usualOn are the coatings that a count on area i means where it names none: those that the suggested plan lays there, or the only one that
// it lays anywhere.
func (c *countsReader) usualOn(i int) (coatings []int) {
	for _, k := range c.chosen.Areas[i].Coats {
		coatings = append(coatings, c.place(k.Coating))
	}
	if len(coatings) > 0 {
		return coatings
	}
	for _, a := range c.chosen.Areas {
		for _, k := range a.Coats {
			if at := c.place(k.Coating); !slices.Contains(coatings, at) {
				coatings = append(coatings, at)
			}
		}
	}
	if len(coatings) > 1 {
		return nil
	}
	return coatings
}

// which is the fault of a count that may be of several coatings.
func (c *countsReader) which(i int) error {
	var names []string
	for l := range c.piece.Layers { // in the order in which they may lie
		if c.layerOn(l, i) {
			names = append(names, c.piece.Layers[l].Coating)
		}
	}
	if len(c.piece.Layers) == 0 {
		names = c.coatingNames()
	}
	return fault.New(fault.Use, "use.coats-which", "area", c.piece.Areas[i].Name, "example",
		"1 "+strings.Join(names[:min(2, len(names))], " + 1 "))
}

// onLayers puts counts on the layers of area i. Where they name coatings, planned layers that are not named get none.
func (c *countsReader) onLayers(i int, parts []counted) ([]plan.Layer, error) {
	ls := make([]plan.Layer, len(c.piece.Layers))
	var on, planned []int // layers of the area
	var names []string
	for l := range c.piece.Layers {
		ls[l].Coating = c.place(c.piece.Layers[l].Coating)
		if !c.layerOn(l, i) {
			continue
		}
		on, names = append(on, l), append(names, c.piece.Layers[l].Coating)
		if n, known := c.piece.Layers[l].Count(); known {
			ls[l].Coats = n
		} else {
			planned = append(planned, l)
		}
	}
	none := len(parts) == 1 && parts[0] == counted{-1, 0}
	if len(planned) == 0 || unnamed(parts) && len(parts) == len(on) {
		planned = on // those whose number is given are meant too
	}
	switch {
	case none:
		for _, l := range planned {
			ls[l].Coats = 0
		}
		return ls, nil
	case len(on) == 0:
		return nil, fault.New(fault.Use, "use.coats-no-layer", "area", c.piece.Areas[i].Name)
	case unnamed(parts) && len(parts) != len(planned), !unnamed(parts) &&
		slices.ContainsFunc(parts, func(p counted) bool { return p.coating < 0 }):
		return nil, c.which(i)
	}
	next := 0 // of the layers on the area
	for k, part := range parts {
		if part.coating < 0 {
			ls[planned[k]].Coats = part.coats
			continue
		}
		for next < len(on) && ls[on[next]].Coating != part.coating {
			next++
		}
		if next == len(on) {
			return nil, fault.New(fault.Use, "use.coats-layer", "area", c.piece.Areas[i].Name, "coating", c.piece.Coatings[part.coating].Name,
				"names", names)
		}
		ls[on[next]].Coats = part.coats
		next++
	}
	return ls, nil
}

// part takes a whole number and a coating's name, where one follows.
func (c *countsReader) part(i int) (counted, error) {
	digits := c.rest[:len(c.rest)-len(strings.TrimLeftFunc(c.rest, unicode.IsDigit))]
	n, err := strconv.Atoi(digits)
	c.rest = c.rest[len(digits):]
	if err != nil || !atEnd(c.rest) {
		word, _, _ := strings.Cut(digits+c.rest, " ")
		return counted{}, fault.New(fault.Use, "use.coats-number", "text", word, "area", c.piece.Areas[i].Name)
	}
	c.skip(" ")
	names := c.coatingNames()
	at := c.longest(names, atEnd)
	if at >= 0 {
		return counted{at, n}, nil
	}
	if name := c.stray(); name != "" {
		return counted{}, fault.New(fault.Use, "use.coats-coating", "name", name, "names", names)
	}
	return counted{-1, n}, nil
}

// atEnd reports whether a number or a name may end before the rest.
func atEnd(rest string) bool { return rest == "" || strings.ContainsAny(rest[:1], " ,;+\t\n") }

// stray is text where a coating or the next area would be and that is neither: of a coating, since no area follows it; "" where there is
// none.
func (c *countsReader) stray() string {
	text := c.rest
	if at := strings.IndexAny(text, ",;+"); at >= 0 {
		text = text[:at]
	}
	before, _, area := strings.Cut(text, "=")
	if !area {
		return strings.TrimSpace(text)
	}
	for _, name := range c.areaNames() {
		if before = strings.TrimRight(before, " "); len(before) > len(name) && strings.EqualFold(before[len(before)-len(name):], name) {
			return strings.TrimSpace(before[:len(before)-len(name)])
		}
	}
	return "" // the name of an area, which says itself what is wrong with it
}
