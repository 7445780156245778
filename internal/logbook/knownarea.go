package logbook

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"huewright/internal/fault"
	"huewright/internal/spelling"
)

// KnownArea makes sure that an area is one of those that a piece has, or unlike all of them: a slip of a finger would
// begin another area, and what was done on the one that was meant would be missed there.
func (w *Writer) KnownArea(piece, area string) error {
	if area == "" {
		return nil
	}
	all, err := collect(w.ctx, w.tx, "SELECT DISTINCT e.area FROM entry e WHERE e.piece = (SELECT id FROM piece WHERE name = ?) "+
		"AND e.area <> '' AND e.kind <> 'withdrawal' AND "+standing("e.id"), value[string], strings.TrimSpace(piece))
	if err != nil {
		return err
	}
	nearest := ""
	for _, known := range all {
		if known == area {
			return nil
		}
		if nearest == "" && nearlySame(known, area) {
			nearest = known
		}
	}
	if nearest == "" {
		return nil
	}
	return fault.New(fault.Use, "logbook.near-area", "area", area, "near", nearest)
}

// nearlySame reports whether two names that differ may be one, mistyped: they differ in capitals or spaces, or by a
// letter or two in a longer name. Numbers and single letters tell areas apart, as in "door 1" and "door 2".
//
// Our own choice: one slip in four letters, two in eight.
func nearlySame(a, b string) bool {
	one, other := strings.Fields(strings.ToLower(a)), strings.Fields(strings.ToLower(b))
	if len(one) == len(other) {
		told := false
		for i := range one {
			told = told || one[i] != other[i] && (isLabel(one[i]) || isLabel(other[i]))
		}
		if told {
			return false
		}
	}
	x, y := strings.Join(one, " "), strings.Join(other, " ")
	return spelling.Slips(x, y) <= min(utf8.RuneCountInString(x), utf8.RuneCountInString(y))/4
}

// isLabel reports whether a word is a number or a single letter.
func isLabel(word string) bool {
	return utf8.RuneCountInString(word) == 1 || strings.IndexFunc(word, unicode.IsDigit) >= 0
}
