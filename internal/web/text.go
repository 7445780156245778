package web

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"huewright/internal/piece"
)

// cleaned is a text without what cannot be seen and does harm: bytes that are no text, control characters, line ends of
// any kind (each a space), and the characters that turn the direction of writing, with which a name could be made to
// read as another. Joiners stay: some scripts need them.
//
// Source: Unicode Standard Annex #9, 2.1–2.6, for the directional characters.
func cleaned(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.Is(unicode.Bidi_Control, r), r == '\ufeff', r == utf8.RuneError:
			return -1
		case unicode.IsControl(r), r == '\u2028', r == '\u2029':
			return ' '
		}
		return r
	}, strings.ToValidUTF8(text, ""))
}

// oneLine is a cleaned text with single spaces between its words.
func oneLine(text string) string { return strings.Join(strings.Fields(cleaned(text)), " ") }

// severalLines is a cleaned text that keeps its line ends.
func severalLines(text string) string {
	lines := strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n")
	for i, line := range lines {
		lines[i] = strings.TrimRight(cleaned(line), " ")
	}
	return strings.TrimSpace(strings.Join(lines, "\n"))
}

// isolated is a text in which names that are written from right to left stand apart from the words and numbers round them.
//
// Source: Unicode Standard Annex #9, 2.4, for the isolates.
func isolated(text string, areas []piece.Area) string {
	const isolate, end = "\u2068", "\u2069"
	for i := range areas {
		name := areas[i].Name
		if strings.ContainsFunc(name, func(r rune) bool {
			return unicode.In(r, unicode.Hebrew, unicode.Arabic, unicode.Syriac,
				unicode.Thaana, unicode.Nko)
		}) {
			text = strings.ReplaceAll(text, name, isolate+name+end)
		}
	}
	return text
}

// atMost is the beginning of a text, so many letters at most.
func atMost(letters int, text string) string {
	for i := range text {
		if letters == 0 {
			return strings.TrimSpace(text[:i])
		}
		letters--
	}
	return text
}
