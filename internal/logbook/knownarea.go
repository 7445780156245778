package logbook

import (
	"strings"
	"unicode"

	"huewright/internal/fault"
)

// KnownArea makes sure that an area is one of those that a piece has, or unlike all of them: a slip of a finger would
// begin another area, and what was done on the one that was meant would be missed there.
func (w *Writer) KnownArea(piece, area string) error {
	if area == "" {
		return nil
	}
	all, err := collect(w.ctx, w.tx, "SELECT DISTINCT e.area FROM entry e WHERE e.piece = (SELECT id FROM piece WHERE name = ?) "+
		"AND e.area <> '' AND "+standing("e.id"), value[string], strings.TrimSpace(piece))
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
	x, y := []rune(strings.Join(one, " ")), []rune(strings.Join(other, " "))
	return edits(x, y) <= min(len(x), len(y))/4
}

// isLabel reports whether a word is a number or a single letter.
func isLabel(word string) bool {
	return len([]rune(word)) == 1 || strings.IndexFunc(word, unicode.IsDigit) >= 0
}

// edits is how many letters are left out, put in, changed or exchanged with their neighbour between two texts.
//
// Source: Damerau (1964), Commun. ACM 7(3), 171–176, without edits of what was exchanged.
func edits(a, b []rune) int {
	rows := make([][]int, len(a)+1)
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			change := 1
			if a[i-1] == b[j-1] {
				change = 0
			}
			rows[i][j] = min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+change)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(a)][len(b)]
}
