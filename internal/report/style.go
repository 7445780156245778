package report

import (
	"strings"

	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/words"
)

// A Style is how text is written. The zero Style is for a terminal of 78 columns, in metric units, short.
type Style struct {
	words.Speaker
	Quiet bool // only the answer, a line for each area or repair, for scripts
	Full  bool // everything, where the short text has what is needed at the bench
	Width int  // columns that text has, 40 at least; 0 means UsualWidth
}

// The widths of text, in columns: without another, and at least.
const (
	UsualWidth = 78
	leastWidth = 40
)

func (s Style) width() int {
	if s.Width == 0 {
		return UsualWidth
	}
	return max(leastWidth, s.Width)
}

// Of is the style in the units of a piece.
func (s Style) Of(p *piece.Piece) Style {
	s.US = s.US || p.Units == "us"
	return s
}

// say is what a code says, with the names and values of what it tells in turn.
func (s Style) say(code fault.Code, values ...any) string { return s.Say(fault.Say(code, values...)) }

// sentences joins those that say something.
func sentences(all ...string) string { return joined(" ", all...) }

// the is "the" with the name of an area.
func (s Style) the(area string) string { return s.say("answer.the", "area", plainName(area)) }

// plainName is a name that goes after "the".
func plainName(name string) string {
	if len(name) > 4 && strings.EqualFold(name[:4], "the ") {
		return name[4:]
	}
	return name
}
