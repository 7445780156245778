package logbook

import (
	"errors"
	"math"
	"strings"
	"time"
	"unicode/utf8"
)

// What comes in by an import is later read as figures, dates and coats. The tables refuse some of what could not be; the
// rest is refused here.

// largest is how large a figure of a column may be, either way. Our own choice: far beyond what a bench meets, and small enough to
// be counted with.
func largest(column string) float64 {
	switch column {
	case "bytes", "pixels":
		return 1e15
	case "square_metres", "wiped_after", "dried":
		return 1e6
	}
	return 1000 // coats, colours, differences of colour, counts of patches
}

// isSound reports whether a value of a column can be read back.
func isSound(table, column string, v any) bool {
	switch v := v.(type) {
	case string:
		switch {
		case !utf8.ValidString(v) || strings.ContainsRune(v, 0):
			return false
		case column == "at" || column == "noted_at" || column == "begun_at" || column == "kept_at":
			at, err := time.Parse(stamp, v)
			return err == nil && stamped(at) == v
		case column == "name" && (table == "piece" || table == "coating"):
			return v != "" && v == strings.TrimSpace(v) && utf8.RuneCountInString(v) <= longestName
		case column == "note":
			return len(v) <= longestNote
		}
	case int64:
		return math.Abs(float64(v)) <= largest(column)
	case float64:
		return math.Abs(v) <= largest(column) // false of what is no number
	}
	return true
}

// check makes sure that a stack is of coats.
func (s Stack) check() error {
	for _, l := range s {
		if strings.TrimSpace(l.Coating) == "" || !(l.Coats > 0 && l.Coats <= mostCoats) {
			return errors.New("no coats of a coating")
		}
	}
	return nil
}

// shown is as much of a value as a message has room for.
func shown(text string) string {
	const most = 40
	if runes := []rune(text); len(runes) > most {
		return string(runes[:most]) + "…"
	}
	return text
}
