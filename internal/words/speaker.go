package words

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"huewright/internal/fault"
)

// A Voice is where a sentence is read.
type Voice int

// The voices.
const (
	Terminal Voice = iota
	Page           // somebody holds a phone: no files, flags or keys
)

// A Speaker says notes and faults. The zero Speaker speaks in a terminal, in metric units and British terms.
type Speaker struct {
	Voice Voice
	US    bool // US units and terms
	// Plain leaves out differences and colours in figures that stand in brackets behind their words: "(ΔE00 1.9)". It is for a page that
	// has them folded away.
	Plain bool
}

// Say is what a note says: whole sentences, with the place before them where there is one; "" for the empty note.
func (s Speaker) Say(n fault.Note) string {
	if n.Empty() {
		return ""
	}
	says := s.text(n, n.Values, func(t Text) string {
		if s.Voice == Page && t.Page != "" {
			return t.Page
		}
		return t.Says + t.Part
	})
	if place := s.place(n.Place); place != "" {
		return place + ": " + says
	}
	return says
}

// All says every note, in turn; never nil.
func (s Speaker) All(notes []fault.Note) []string {
	all := make([]string, len(notes))
	for i, n := range notes {
		all[i] = s.Say(n)
	}
	return all
}

// Warnings says every note with what to do about it, in turn; never nil.
func (s Speaker) Warnings(notes []fault.Note) []string {
	all := s.All(notes)
	for i, n := range notes {
		if hint := s.Hint(n); hint != "" {
			all[i] += " " + hint
		}
	}
	return all
}

// Fault is what an error says and what to do about it; the hint may be "". An error that holds no fault was not foreseen: it is
// told as it is, for whoever mends the program.
func (s Speaker) Fault(err error) (says, hint string) {
	f := fault.Of(err)
	if f == nil {
		f = fault.New("", "say.unexpected", "cause", err.Error())
	}
	return s.Say(f.Note), s.hint(f)
}

// Hint is what to do about a note, as its own catalogue entry says; "" where it says nothing.
func (s Speaker) Hint(n fault.Note) string { return s.hint(&fault.Fault{Note: n}) }

func (s Speaker) hint(f *fault.Fault) string {
	if f.Hint.Empty() {
		return s.text(f.Note, f.Values, func(t Text) string {
			if s.Voice == Page && t.PageHint != "" {
				return t.PageHint
			}
			return t.Hint
		})
	}
	n := f.Hint
	n.Values = f.HintValues()
	n.Place = fault.Place{}
	return s.Say(n)
}

func (s Speaker) text(n fault.Note, values fault.Values, which func(Text) string) string {
	t, known := lookUp(n.Code)
	if !known {
		return clean(n.String())
	}
	says := s.fill(which(t), values)
	if s.Plain {
		says = bracketed.ReplaceAllString(says, "")
	}
	return says
}

// bracketed are differences and colours in figures, in brackets.
var bracketed = regexp.MustCompile(`\s*\([^()]*(ΔE00|L\*)[^()]*\)`)

// place writes where something is. A page has no piece file, and so no line in it.
func (s Speaker) place(p fault.Place) string {
	if s.Voice == Page && p.Line > 0 {
		p.File, p.Line = "", 0
	}
	return clean(p.String())
}

// clean is a text without control and direction characters, which could write over a terminal or turn a line round.
func clean(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n', r == '\t':
			return ' '
		case r == utf8.RuneError, unicode.IsControl(r), unicode.Is(unicode.Bidi_Control, r):
			return -1
		}
		return r
	}, text)
}
