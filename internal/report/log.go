package report

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"huewright/colour"
	"huewright/internal/logbook"
	"huewright/internal/record"
)

// when is a time as people say it, in the zone of the clock on the wall.
func when(t time.Time, zone *time.Location) string { return t.In(zone).Format("2006-01-02 15:04") }

// HistoryText writes a piece's history for a terminal, with swatches; times in zone.
func HistoryText(w io.Writer, h *record.History, zone *time.Location) error {
	var p page
	p.line("%s", h.Piece.Name)
	if h.Piece.About != "" {
		p.wrapped("  ", h.Piece.About)
	}
	p.line("  begun %s; %s", when(h.Piece.BegunAt, zone), howMany(h.Piece.Entries, "entry", "entries"))
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
		}, record.Describe(e))
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

func (p *page) entry(l entryLine, t record.Description) {
	mark := "    "
	if t.Lab != nil {
		mark = swatch(*t.Lab)
	}
	lead := fmt.Sprintf("  %s %s %s ", pad(fmt.Sprintf("#%d", l.number), 5), l.clock, mark)
	text := t.Text
	if l.area != "" {
		text = l.area + ": " + text
	}
	if l.gone {
		text = "(no longer stands) " + text
	}
	p.hanging(lead, 17, text)
}

// hanging writes a paragraph whose first line comes after a lead that is as wide on the screen as
// width, whatever colours it has.
func (p *page) hanging(lead string, width int, text string) {
	var inner page
	inner.wrapped(strings.Repeat(" ", width), text)
	p.WriteString(lead + strings.TrimPrefix(inner.String(), strings.Repeat(" ", width)))
}

// howMany is a number of things in words.
func howMany(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// PiecesText writes the pieces of a log.
func PiecesText(w io.Writer, all []logbook.Piece, zone *time.Location) error {
	var p page
	if len(all) == 0 {
		p.line("no pieces yet; begin one: huewright log begin \"NAME OF THE PIECE\"")
		return p.writeTo(w)
	}
	name := longest(all, func(x logbook.Piece) string { return x.Name })
	for _, x := range all {
		p.line("  %s  %s  %s", pad(x.Name, name), x.LastAt.In(zone).Format("2006-01-02"), howMany(x.Entries, "entry", "entries"))
	}
	return p.writeTo(w)
}

// FoundText writes what was looked for in a log.
func FoundText(w io.Writer, all []logbook.Found, near bool, zone *time.Location) error {
	var p page
	if len(all) == 0 {
		p.line("nothing found")
		return p.writeTo(w)
	}
	for i := range all {
		f := &all[i]
		t := record.Describe(&f.Entry)
		mark := "    "
		if t.Lab != nil {
			mark = swatch(*t.Lab)
		}
		away := ""
		if near {
			away = fmt.Sprintf("ΔE00 %4.1f  ", f.DeltaE)
		}
		var of []string
		for _, s := range []string{f.Piece, f.Area} {
			if s != "" {
				of = append(of, s)
			}
		}
		lead := fmt.Sprintf("  %s %s %s ", pad(fmt.Sprintf("#%d", f.ID), 5), f.At.In(zone).Format("2006-01-02"), mark)
		p.hanging(lead, 24, away+strings.Join(append(of, t.Text), ": "))
	}
	return p.writeTo(w)
}

// ScoresText writes how good predictions have been.
func ScoresText(w io.Writer, s *record.Scores) error {
	var p page
	if s.All.Results == 0 {
		p.wrapped("", "nothing that was foreseen has come to pass yet: record a plan with --piece, lay a coat, photograph it, add it as [[area.laid]], and plan again")
		return p.writeTo(w)
	}
	p.line("what was foreseen, and what came")
	p.line("")
	name := max(3, longest(s.Coatings, func(c record.CoatingScore) string { return c.Coating }))
	p.line("  %s  pieces  colours  ΔE00 off  within ±   on the whole", pad("", name))
	for _, c := range append(s.Coatings, s.All) {
		title := c.Coating
		if title == "" {
			title = "all"
		}
		words := c.Words
		if math.Abs(c.Off.L) < 0.5 && math.Abs(c.Off.A) < 0.5 && math.Abs(c.Off.B) < 0.5 {
			words = "right"
		}
		lead := fmt.Sprintf("  %s  %6d  %7d  %8.1f  %3d of %-3d  ", pad(title, name), c.Pieces, c.Results, c.DeltaE, c.Within, c.Results)
		p.wrapped(lead, words)
	}
	p.line("")
	p.wrapped("  ", "± is what was stated to hold 95 times in 100")
	if n := len(s.Counts); n > 0 {
		p.wrapped("  ", fmt.Sprintf("counts of coats on %s that are done: %d right, %d right or one off, %d within the range that was to hold 80 times in 100", howMany(n, "area", "areas"), s.Exact, s.NearlySo, s.InRange))
	}
	p.wrapped("  ", HabitWords(s.Bias.Film, s.Bias.Wider, s.Pieces))
	return p.writeTo(w)
}

// HabitWords say what is allowed for in plans, from so many pieces.
func HabitWords(film, wider float64, pieces int) string {
	if pieces == 0 {
		return "nothing is allowed for yet"
	}
	percent := 100 * (math.Exp(film) - 1)
	from := howMany(pieces, "piece", "pieces")
	const worth = 3.0 // per cent
	switch {
	case percent > worth && wider > 1.05:
		return fmt.Sprintf("over %s coats came out %.0f %% thicker than foreseen, and strayed more than stated: plans allow for both, with ranges %.1f times as wide", from, percent, wider)
	case percent < -worth && wider > 1.05:
		return fmt.Sprintf("over %s coats came out %.0f %% thinner than foreseen, and strayed more than stated: plans allow for both, with ranges %.1f times as wide", from, -percent, wider)
	case percent > worth:
		return fmt.Sprintf("over %s coats came out %.0f %% thicker than foreseen: plans allow for it", from, percent)
	case percent < -worth:
		return fmt.Sprintf("over %s coats came out %.0f %% thinner than foreseen: plans allow for it", from, -percent)
	case wider > 1.05:
		return fmt.Sprintf("over %s colours strayed more than stated: plans have ranges %.1f times as wide", from, wider)
	}
	return fmt.Sprintf("over %s coats came out as foreseen: nothing needs to be allowed for", from)
}

// LabelText writes what people write on the back of a sample board: plain text, to print or copy.
func LabelText(w io.Writer, b *logbook.Board, zone *time.Location) error {
	var p page
	p.line("%s: %s", b.Piece, b.Area)
	row := func(name, text string) {
		if text != "" {
			p.wrapped(pad(name, 12), text)
		}
	}
	f := b.Facts
	wood := []string{}
	for _, s := range []string{f.Wood, f.Cut, f.WoodAge} {
		if s != "" {
			wood = append(wood, s)
		}
	}
	row("wood", orNot(strings.Join(wood, ", ")))
	row("surface", orNot(f.Surface))
	row("sanding", orNot(f.Sanding))
	row("before", point(b.Before, zone))
	for i := range b.Coats {
		c := &b.Coats[i]
		told := *c
		told.Replaces = 0 // a board tells what stands
		row(fmt.Sprintf("coat %d", i+1), record.Describe(&told).Text+", "+when(c.At, zone))
	}
	if len(b.Coats) == 0 {
		row("coats", "none")
	}
	row("after", point(b.After, zone))
	switch b.Reference {
	case "":
	case "none":
		row("light", "no reference in the photo: colours hold only beside one another")
	default:
		row("light", "colours by "+b.Reference+"; L*, a*, b* for D65 and the 2° observer")
	}
	return p.writeTo(w)
}

func orNot(s string) string {
	if s == "" {
		return "not noted"
	}
	return s
}

func point(at *logbook.Point, zone *time.Location) string {
	if at == nil {
		return "not measured"
	}
	text := fmt.Sprintf("%s ± %.1f, %s", strings.Join(strings.Fields(lab(at.Lab)), " "), at.PlusMinus, when(at.At, zone))
	if s := at.Stack.String(); s != "" {
		text += ", under " + s
	}
	return text
}

// DriftText writes how an area's colour went.
func DriftText(w io.Writer, d *record.Drift, zone *time.Location) error {
	var p page
	p.line("%s: %s", d.Piece, d.Area)
	p.line("")
	for i, at := range d.Points {
		under := at.Stack.String()
		if under == "" {
			under = "no coats"
		}
		away := ""
		if i > d.Since {
			away = fmt.Sprintf("ΔE00 %.1f  ", colour.DeltaE2000(d.Points[d.Since].Lab, at.Lab))
		}
		p.line("  %s  %s  %s ± %.1f  %s%s", when(at.At, zone), swatch(at.Lab), lab(at.Lab), at.PlusMinus, away, under)
	}
	p.line("")
	switch n := len(d.Points) - d.Since; {
	case n < 2:
		p.wrapped("  ", "one reading of it as it now is: read it again in some weeks to see where it goes")
	case d.Surely:
		p.wrapped("  ", fmt.Sprintf("it has changed by ΔE00 %.1f, beyond the ± %.1f of both readings: %s", d.DeltaE, d.OffBoth, d.Words))
	default:
		p.wrapped("  ", fmt.Sprintf("ΔE00 %.1f from the first, within the ± %.1f of both readings: no change that can be told", d.DeltaE, d.OffBoth))
	}
	p.wrapped("  ! ", d.Ageing)
	return p.writeTo(w)
}
