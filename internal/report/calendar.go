package report

import (
	"crypto/sha256"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"

	"huewright/internal/workshop"
)

// Calendar writes a timetable as an iCalendar file, an event to a step. made is when it is written.
//
// Source: RFC 5545: lines end with CRLF and are folded at 75 octets (3.1), text is escaped (3.3.11),
// times are UTC (3.3.5), an event has UID, DTSTAMP and DTSTART (3.6.1).
func Calendar(w io.Writer, piece string, s *workshop.Schedule, made time.Time) error {
	var p page
	put := func(name, value string) { p.WriteString(folded(name + ":" + value)) }
	stamp := func(t time.Time) string { return t.UTC().Format("20060102T150405Z") }
	put("BEGIN", "VCALENDAR")
	put("VERSION", "2.0")
	put("PRODID", "-//huewright//timetable//EN")
	put("CALSCALE", "GREGORIAN")
	zone := s.Bench.Start.Location()
	for i := range s.Steps {
		step := &s.Steps[i]
		about := []string{}
		if step.Inspect {
			about = append(about, "Stop and look first: photograph it, and plan again.")
		}
		for _, do := range step.Do {
			about = append(about, "First: "+do+".")
		}
		if window := windowWords(step, zone); window != "" {
			about = append(about, window+" ("+step.WaitSource+").")
		}
		about = append(about, "The label comes first.")
		id := sha256.Sum256([]byte(fmt.Sprintf("%s\x00%s\x00%d", piece, stepWords(step), i)))
		const takes = 30 * time.Minute
		put("BEGIN", "VEVENT")
		put("UID", fmt.Sprintf("%x@huewright.invalid", id[:12]))
		put("DTSTAMP", stamp(made))
		put("DTSTART", stamp(step.At))
		put("DTEND", stamp(step.At.Add(takes)))
		put("SUMMARY", escaped(piece+": "+stepWords(step)))
		put("DESCRIPTION", escaped(strings.Join(about, "\n")))
		put("END", "VEVENT")
	}
	put("END", "VCALENDAR")
	return p.writeTo(w)
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
