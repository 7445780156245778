package web

import (
	"fmt"
	"html/template"
	"math"
	"strconv"
	"strings"
	"time"

	"huewright/blend"
	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/piece"
	"huewright/internal/record"
	"huewright/internal/report"
	"huewright/internal/words"
)

// A toldEntry is an entry of the log in words.
type toldEntry struct {
	record.Description
	Text string
}

func tellEntry(e logbook.Entry) toldEntry {
	s := report.Style{Speaker: words.Speaker{Voice: words.Page, Plain: true}}
	return toldEntry{record.Describe(&e), s.Described(&e)}
}

// rawEntry is an entry in words and figures.
func rawEntry(e logbook.Entry) toldEntry {
	s := report.Style{Speaker: words.Speaker{}}
	return toldEntry{record.Describe(&e), s.Described(&e)}
}

// pageFunctions are what pages may call.
var pageFunctions = template.FuncMap{
	"lab":   report.Style{}.LabWords,
	"when":  func(t time.Time) string { return t.Local().Format("2 Jan 2006, 15:04") },
	"day":   func(t time.Time) string { return t.Local().Format("2 Jan 2006") },
	"join":  strings.Join,
	"lower": strings.ToLower, "capital": words.Capital,
	"tell":  tellEntry,
	"raw":   rawEntry,
	"kinds": func() []string { return blend.Kinds }, "families": func() []string { return blend.Families },
	"putons": func() []string { return blend.PutOns }, "surfaces": func() []string { return piece.Surfaces },
	"dilution": func(d *piece.Dilution) string {
		if d == nil || d.Water == 0 {
			return "not thinned"
		}
		return partsOf(d.Paint, "paint") + " to " + partsOf(d.Water, "thinner")
	},
	"source": sourceWords,
	"mixed":  mixedWords,
	"names": func(all []string) string {
		return words.Speaker{Voice: words.Page}.Say(fault.Say("page.names", "names", all))
	},
	"short": func(text string) string { return atMost(120, text) },
	"dict":  dict,
	"outlineOf": func(s *piece.ColourSource) string {
		if s == nil {
			return ""
		}
		return s.Outline
	},
	"photoOf": func(s *piece.ColourSource) string {
		if s == nil {
			return ""
		}
		return s.Photo
	},
	"surfaceOf": func(s *piece.ColourSource) string {
		if s == nil {
			return ""
		}
		return s.Surface
	},
	"colourOf": func(s *piece.ColourSource) string {
		switch {
		case s == nil:
			return ""
		case len(s.Lab) == 3:
			return fmt.Sprintf("%g, %g, %g", s.Lab[0], s.Lab[1], s.Lab[2])
		}
		return s.Hex
	},
	"yesno": func(b *bool) string {
		switch {
		case b == nil:
			return ""
		case *b:
			return "yes"
		}
		return "no"
	},
	"thinner": func(share float64) string { // parts to one of paint; "" for none
		if share <= 0 || share >= 1 {
			return ""
		}
		return short(1/share - 1)
	},
	"path": pathOf, "plural": plural,
	"list":  func(s ...string) []string { return s },
	"fault": func(err error) string { return faultWords(words.Speaker{Voice: words.Page, Plain: true}, err) },
}

// phoneColumns is how many columns of text of one width a phone shows beside one another.
const phoneColumns = 40

// faultWords is what went wrong and what to do about it, as one text.
func faultWords(says words.Speaker, err error) string {
	problem, hint := says.Fault(err)
	return strings.TrimSpace(problem + " " + hint)
}

// plural is a number of things.
func plural(n int, thing string) string {
	switch {
	case n == 1:
		return "1 " + thing
	case strings.HasSuffix(thing, "ry"):
		thing = strings.TrimSuffix(thing, "y") + "ie"
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// partsOf is parts by volume of something.
func partsOf(n float64, of string) string {
	if n == 1 {
		return "1 part " + of
	}
	return fmt.Sprintf("%g parts %s", n, of)
}

// mixedWords say what a mix was stirred together of; "" for what came out of a tin.
func mixedWords(k piece.Coating) string {
	if len(k.Parts) == 0 {
		return ""
	}
	var all []string
	for _, p := range k.Parts {
		all = append(all, partsOf(p.Parts, p.Coating))
	}
	by := "volume"
	if k.Weighed {
		by = "weight"
	}
	return words.Speaker{Voice: words.Page}.Say(fault.Say("page.mixed", "parts", all, "by", by))
}

// dict is a map of its arguments, a key and a value in turn, for a part of a page that needs several.
func dict(pairs ...any) map[string]any {
	m := map[string]any{}
	for i := 0; i+1 < len(pairs); i += 2 {
		m[pairs[i].(string)] = pairs[i+1]
	}
	return m
}

func sourceWords(s *piece.ColourSource) string {
	switch {
	case s == nil:
		return ""
	case s.Outline != "":
		return "marked in photo " + s.Photo
	case s.Hex != "":
		return s.Hex
	case s.Area != "":
		return "the area " + s.Area
	}
	return colour.Lab{L: s.Lab[0], A: s.Lab[1], B: s.Lab[2]}.Hex()
}

// withoutEscapes is a text without the colours of a terminal.
func withoutEscapes(text string) string {
	var out strings.Builder
	for {
		i := strings.Index(text, "\x1b[")
		if i < 0 {
			out.WriteString(text)
			return out.String()
		}
		out.WriteString(text[:i])
		end := strings.IndexByte(text[i:], 'm')
		if end < 0 {
			return out.String()
		}
		text = text[i+end+1:]
	}
}

// short is a number without more figures than a drawing needs.
func short(v float64) string { return strconv.FormatFloat(math.Round(10*v)/10, 'g', -1, 64) }
