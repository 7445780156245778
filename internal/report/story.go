package report

import (
	"strings"
	"time"

	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/record"
)

// Described is what an entry says, in one line.
func (s Style) Described(e *logbook.Entry) string {
	parts := record.Describe(e).Parts
	if s.Plain {
		parts = withoutFigures(parts)
	}
	return strings.Join(s.All(parts), ", ")
}

// withoutFigures are the parts of an entry that say more than figures; a colour is for its swatch to show.
func withoutFigures(parts []fault.Note) (kept []fault.Note) {
	for _, n := range parts {
		switch n.Code {
		case "entry.off", "entry.off-now", "entry.off-then", "entry.came":
			continue
		case "entry.reading":
			if what, is := n.Values["what"].(fault.Note); is {
				n = what
			}
		}
		kept = append(kept, n)
	}
	return kept
}

// NearWords say how visible a difference is.
func (s Style) NearWords(off float64) string {
	return s.say("compare.visible", "seen", seen(off), "figure", deltaE(off))
}

// day is a date as people say it.
func day(t time.Time, zone *time.Location) string { return t.In(zone).Format("2 January 2006") }

// A Chapter is the story of one area: what was done to it, in order, and what came out of it.
type Chapter struct {
	Area   string       // "" for the whole piece
	Colour *colour.Lab  // as it was last measured; nil where it never was
	Told   []ToldOfADay // the earliest first
}

// A ToldOfADay is what a chapter tells of a day, or a part of it.
type ToldOfADay struct {
	Day  string // "" for the day of what stands before
	Text string
}

// Story are the chapters of a piece, that of the whole piece last.
func (s Style) Story(h *record.History, zone *time.Location) (all []Chapter) {
	stands := h.Stands()
	for _, area := range areasOf(stands) {
		t := chapter{Style: s, zone: zone}
		for i := range stands {
			if stands[i].Area == area {
				t.entries = append(t.entries, &stands[i])
			}
		}
		t.tell()
		all = append(all, Chapter{area, t.lastColour(), t.told})
	}
	return all
}

// story writes the story of a piece.
func (p *page) story(h *record.History, zone *time.Location) {
	p.wrapped("  ", p.say("story.begun", "date", day(h.Piece.BegunAt, zone)))
	for _, c := range p.Story(h, zone) {
		p.line("")
		title := c.Area
		if title == "" {
			title = p.say("story.whole")
		}
		if c.Colour != nil {
			title += " " + swatch(*c.Colour)
		}
		p.line("  %s", title)
		for _, t := range c.Told {
			p.wrapped("    "+pad(t.Day, 17)+" ", t.Text)
		}
	}
	p.line("")
	gone := 0
	for i := range h.Entries {
		if e := &h.Entries[i]; !e.Stands() && e.Kind != logbook.KindWithdrawal {
			gone++
		}
	}
	if gone > 0 {
		p.wrapped("  ", p.say("story.gone", "n", gone))
	}
	p.wrapped("  ", p.say("story.more"))
}

// areasOf are the areas of entries in the order in which they come up; the whole piece, "", is last.
func areasOf(entries []logbook.Entry) (areas []string) {
	seen, whole := map[string]bool{}, false
	for i := range entries {
		switch area := entries[i].Area; {
		case area == "":
			whole = true
		case !seen[area]:
			seen[area] = true
			areas = append(areas, area)
		}
	}
	if whole {
		areas = append(areas, "")
	}
	return areas
}

// A chapter tells the story of one area.
type chapter struct {
	Style
	zone    *time.Location
	entries []*logbook.Entry // that stand, the earliest first
	last    *colour.Lab      // as the area was last measured
	said    string           // the day that was last told of
	told    []ToldOfADay
}

// lastColour is the area's colour as it was last measured.
func (t *chapter) lastColour() (c *colour.Lab) {
	for _, e := range t.entries {
		switch {
		case e.Reading != nil && e.Reading.Of == "area":
			c = &e.Reading.Lab
		case e.Coats != nil && e.Coats.ResultColour != nil:
			c = e.Coats.ResultColour
		}
	}
	return c
}

// sentences tells sentences of their day.
func (t *chapter) sentences(at time.Time, all ...string) {
	lead := day(at, t.zone)
	if lead == t.said {
		lead = ""
	} else {
		t.said = lead
	}
	t.told = append(t.told, ToldOfADay{lead, strings.Join(all, " ")})
}

func (t *chapter) tell() {
	results := map[int64]bool{} // readings that coats tell of
	for _, e := range t.entries {
		if e.Coats != nil {
			results[e.Coats.Result] = true
		}
	}
	photos := 0
	for i, e := range t.entries {
		switch {
		case e.Facts != nil:
			t.sentences(e.At, t.say("story.wood", "facts", t.joined(record.Facts(e.Facts))))
		case e.Picture != nil:
			if photos++; i+1 < len(t.entries) && t.entries[i+1].Picture != nil {
				continue
			}
			t.sentences(e.At, t.say("story.photos", "n", photos))
			photos = 0
		case e.Reading != nil && e.Reading.Of == "area" && !results[e.ID]:
			t.reading(e)
		case e.TestCoat != nil:
			coats := logbook.Stack{{Coating: e.TestCoat.Name, Coats: e.TestCoat.Coats}}
			t.sentences(e.At, t.say("story.test", "coats", t.joined(append(record.Stack(coats), record.Mix(e.TestCoat.Share, "")...))))
		case e.Coats != nil:
			t.coats(e)
		case e.Plan != nil && e.Plan.Coats == 0:
			t.sentences(e.At, t.say("story.plan-done"))
		case e.Plan != nil && e.Plan.Stack.Coats() == float64(e.Plan.Coats):
			t.sentences(e.At, t.say("story.planned-first", "coats", record.Stack(e.Plan.Stack)))
		case e.Plan != nil:
			t.sentences(e.At, t.say("story.planned", "n", e.Plan.Coats, "coats", record.Stack(e.Plan.Stack)))
		case e.Check != nil:
			t.sentences(e.At, t.say("story.repair", "verdict", e.Check.Says))
		case e.Reading == nil && e.Reference == nil && e.Note != "":
			t.sentences(e.At, t.say("story.noted", "text", e.Note))
		}
	}
}

// joined are parts of a line.
func (t *chapter) joined(parts []fault.Note) string { return strings.Join(t.All(parts), ", ") }

// reading tells of a reading that belongs to no coats, and what had changed since the one before.
func (t *chapter) reading(e *logbook.Entry) {
	r := e.Reading
	first := t.last == nil
	var all []string
	switch {
	case len(r.Stack) > 0:
		all = append(all, t.say("story.measured", "coats", record.Stack(r.Stack)))
	case first:
		all = append(all, t.say("story.bare"))
	default:
		all = append(all, t.say("story.measured-bare"))
	}
	if !first {
		all = append(all, t.change("story.changed", "story.unchanged", *t.last, r.Lab))
	}
	t.last = &r.Lab
	t.sentences(e.At, all...)
}

// coats tells of coats, and what came of them.
func (t *chapter) coats(e *logbook.Entry) {
	c := e.Coats
	all := []string{t.say("story.laid", "coats", t.joined(record.CoatsLaid(c)))}
	from := c.GroundColour
	if from == nil {
		from = t.last
	}
	if from != nil && c.ResultColour != nil {
		all = append(all, t.change("story.came", "story.came-same", *from, *c.ResultColour))
	}
	if c.ResultColour != nil {
		t.last = c.ResultColour
	}
	if e.Note != "" {
		all = append(all, t.say("story.why", "text", e.Note))
	}
	t.sentences(e.At, all...)
}

// change says how a colour became another.
func (t *chapter) change(differs, same fault.Code, from, to colour.Lab) string {
	if colour.DeltaE2000(from, to) < colour.Perceptible {
		return t.Say(fault.Say(same))
	}
	return t.Say(fault.Note{Code: differs, Values: fault.Values{"how": colour.DescribeDifference(from, to)}})
}
