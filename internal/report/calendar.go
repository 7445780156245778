package report

import (
	"crypto/sha256"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"

	"huewright/blend/schedule"
	"huewright/internal/workshop"
)

// Calendar writes a timetable as an iCalendar file, an event to a step. made is when it is written.
//
// Source: RFC 5545: lines end with CRLF and are folded at 75 octets (3.1), text is escaped (3.3.11),
// times are UTC (3.3.5), an event has UID, DTSTAMP and DTSTART (3.6.1).
func (s Style) Calendar(w io.Writer, piece string, t *workshop.Schedule, made time.Time) error {
	var p page
	put := func(name, value string) { p.WriteString(folded(name + ":" + value)) }
	stamp := func(at time.Time) string { return at.UTC().Format("20060102T150405Z") }
	put("BEGIN", "VCALENDAR")
	put("VERSION", "2.0")
	put("PRODID", "-//huewright//timetable//EN")
	put("CALSCALE", "GREGORIAN")
	zone := t.Bench.Start.Location()
	named := map[string]int{}
	for i := range t.Steps {
		step := &t.Steps[i]
		about := []string{s.whyWords(step)}
		if step.Work.Coats() {
			about = append(about, s.windowWords(step, zone))
		}
		for _, c := range schedule.MattersMost(step.Work, t.Cautions) {
			about = append(about, s.caution(&c))
		}
		about = append(about, s.say("timetable.label-first"))
		name := stepName(step)
		id := sha256.Sum256([]byte(fmt.Sprintf("%s\x00%s\x00%d", piece, name, named[name])))
		named[name]++
		put("BEGIN", "VEVENT")
		put("UID", fmt.Sprintf("%x@huewright.invalid", id[:12]))
		put("DTSTAMP", stamp(made))
		put("DTSTART", stamp(step.At))
		put("DTEND", stamp(step.At.Add(step.Takes)))
		put("SUMMARY", escaped(piece+": "+s.stepWords(step)))
		put("DESCRIPTION", escaped(joined("\n", about...)))
		put("END", "VEVENT")
	}
	put("END", "VCALENDAR")
	return p.writeTo(w)
}

// stepName tells a step from others: it never changes, so that an event that is read in anew takes the place of the old one.
func stepName(s *schedule.Step) string {
	if !s.Work.Coats() {
		return fmt.Sprintf("%s before coat %d of %s on %s", s.Work, s.Coat, s.Coating, strings.Join(s.Areas, ", "))
	}
	if s.Clear {
		return fmt.Sprintf("coat %d of %s over all", s.Coat, s.Coating)
	}
	return fmt.Sprintf("coat %d of %s on %s", s.Coat, s.Coating, strings.Join(s.Areas, ", "))
}

// escaped is text as a property has it.
func escaped(text string) string {
	return strings.NewReplacer(`\`, `\\`, ";", `\;`, ",", `\,`, "\r\n", `\n`, "\n", `\n`).Replace(text)
}

// folded is a line in pieces of at most 75 octets, no letter broken.
func folded(line string) string {
	var out strings.Builder
	most := 75
	n := 0
	for _, r := range line {
		size := utf8.RuneLen(r)
		if n+size > most {
			out.WriteString("\r\n ")
			n = 1
		}
		out.WriteRune(r)
		n += size
	}
	out.WriteString("\r\n")
	return out.String()
}
