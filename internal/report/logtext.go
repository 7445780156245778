package report

import (
	"cmp"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"

	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/record"
)

// when is a time as people say it, in the zone of the clock on the wall.
func when(t time.Time, zone *time.Location) string { return t.In(zone).Format("2006-01-02 15:04") }

// HistoryText tells a piece's history for a terminal, with swatches: what was done to each area and what came out of it,
// or, in full, every entry with its number and figures. Times are in zone.
func (s Style) HistoryText(w io.Writer, h *record.History, zone *time.Location) error {
	if s.Quiet {
		return s.quietHistory(w, h, zone)
	}
	p := page{Style: s}
	p.line("%s", h.Piece.Name)
	if h.Piece.About != "" {
		p.wrapped("  ", h.Piece.About)
	}
	if !s.Full {
		p.story(h, zone)
		return p.writeTo(w)
	}
	p.wrapped("  ", p.say("story.history", "date", day(h.Piece.BegunAt, zone), "n", h.Piece.Entries))
	day := ""
	for i := range h.Entries {
		e := &h.Entries[i]
		if today := e.At.In(zone).Format("Monday, 2 January 2006"); today != day {
			day = today
			p.line("")
			p.line("  %s", day)
		}
		p.entry(entryLine{
			number: e.ID, clock: e.At.In(zone).Format("15:04"), area: e.Area, gone: !e.Stands() || e.Withdrawn,
		}, record.Describe(e).Lab, s.Described(e))
	}
	return p.writeTo(w)
}

// An entryLine is what stands before what an entry says.
type entryLine struct {
	number int64
	clock  string
	area   string
	gone   bool
}

func (p *page) entry(l entryLine, c *colour.Lab, text string) {
	if l.area != "" {
		text = l.area + ": " + text
	}
	if l.gone {
		text = "(" + p.say("story.no-longer") + ") " + text
	}
	p.entryText(fmt.Sprintf("  %s %s ", pad(fmt.Sprintf("#%d", l.number), 5), l.clock), c, text)
}

// PiecesText writes the pieces of a log.
func (s Style) PiecesText(w io.Writer, all []logbook.Piece, zone *time.Location) error {
	p := page{Style: s}
	if len(all) == 0 {
		p.line("%s %s", p.say("story.no-pieces"), p.Hint(fault.Say("story.no-pieces")))
		return p.writeTo(w)
	}
	name := longest(all, func(x logbook.Piece) string { return x.Name })
	for _, x := range all {
		p.line("  %s  %s  %s", pad(x.Name, name), x.LastAt.In(zone).Format("2006-01-02"), howMany(x.Entries, "entry", "entries"))
	}
	return p.writeTo(w)
}

// FoundText writes what was looked for in a log.
func (s Style) FoundText(w io.Writer, all []logbook.Found, near bool, zone *time.Location) error {
	p := page{Style: s}
	if len(all) == 0 {
		p.line("%s", p.say("story.nothing-found"))
		return p.writeTo(w)
	}
	for i := range all {
		f := &all[i]
		lead := fmt.Sprintf("  %s %s ", pad(fmt.Sprintf("#%d", f.ID), 5), f.At.In(zone).Format("2006-01-02"))
		if near {
			lead += fmt.Sprintf("ΔE00 %4.1f ", f.DeltaE)
		}
		p.entryText(lead, record.Describe(&f.Entry).Lab, joined(": ", f.Piece, f.Area, s.Described(&f.Entry)))
	}
	return p.writeTo(w)
}

// entryText writes what an entry says, after a patch of its colour where it has one.
func (p *page) entryText(lead string, c *colour.Lab, text string) {
	if c == nil {
		p.wrapped(lead, text)
		return
	}
	in := utf8.RuneCountInString(lead)
	p.hangingAt(lead+swatch(*c)+" ", in+swatchWidth+1, in, text)
}

// LabelText writes what people write on the back of a sample board: plain text, to print or copy.
func (s Style) LabelText(w io.Writer, b *logbook.Board, zone *time.Location) error {
	p := page{Style: s}
	p.line("%s: %s", b.Piece, b.Area)
	row := func(name, text string) {
		if text != "" {
			p.wrapped(pad(name, 12), text)
		}
	}
	f := b.Facts
	row("wood", cmp.Or(joined(", ", f.Wood, f.Cut, f.WoodAge), s.say("label.not-noted")))
	row("surface", cmp.Or(f.Surface, s.say("label.not-noted")))
	row("sanding", cmp.Or(f.Sanding, s.say("label.not-noted")))
	row("before", cmp.Or(s.point(b.Before, zone), s.say("label.not-measured")))
	for i := range b.Coats {
		c := &b.Coats[i]
		told := *c
		told.Replaces = 0 // a board tells what stands
		row(fmt.Sprintf("coat %d", i+1), s.Described(&told)+", "+when(c.At, zone))
	}
	if len(b.Coats) == 0 {
		row("coats", s.say("label.no-coats"))
	} else {
		row("after", cmp.Or(s.point(b.After, zone), s.say("label.not-since")))
	}
	switch b.Reference {
	case "":
	case "none":
		row("light", s.say("label.no-reference"))
	default:
		row("light", s.say("label.reference", "by", b.Reference))
	}
	return p.writeTo(w)
}

// point is a colour that was read, and when; "" for none.
func (s Style) point(at *logbook.Point, zone *time.Location) string {
	if at == nil {
		return ""
	}
	text := fmt.Sprintf("%s ± %.1f, %s", strings.Join(strings.Fields(lab(at.Lab)), " "), at.PlusMinus, when(at.At, zone))
	if len(at.Stack) > 0 {
		text += ", " + s.say("entry.under", "coats", record.Stack(at.Stack))
	}
	return text
}

// DriftText writes how an area's colour went.
func (s Style) DriftText(w io.Writer, d *record.Drift, zone *time.Location) error {
	p := page{Style: s}
	p.line("%s: %s", d.Piece, d.Area)
	switch n := len(d.Points) - d.Since; {
	case n < 2:
		p.wrapped("  ", p.say("drift.one"))
	case d.Surely:
		p.wrapped("  ", p.say("drift.changed", "how", d.Words, "off", d.DeltaE, "plus-minus", d.OffBoth))
	default:
		p.wrapped("  ", p.say("drift.unchanged", "off", d.DeltaE, "plus-minus", d.OffBoth))
	}
	p.wrapped("  ! ", p.Say(d.Ageing))
	p.line("")
	for i, at := range d.Points {
		under := s.say("drift.no-coats")
		if len(at.Stack) > 0 {
			under = s.say("entry.under", "coats", record.Stack(at.Stack))
		}
		away := ""
		if i > d.Since {
			away = deltaE(colour.DeltaE2000(d.Points[d.Since].Lab, at.Lab))
		}
		p.wrapped(fmt.Sprintf("  %s  ", when(at.At, zone)), joined(", ", fmt.Sprintf("± %.1f", at.PlusMinus), away, under))
		p.line("    %s  %s", swatch(at.Lab), inLine(at.Lab))
	}
	return p.writeTo(w)
}

// howMany is a number of things in words.
func howMany(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
