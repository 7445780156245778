// Package card lays out the bench card: one sheet with all that is to be done, to hang over the bench and be read from 1.5 m. A [Sheet]
// holds its texts, colours and photos; [HTML] and [PDF] write it on a paper of [Papers]. It knows nothing of wood: report.NewCard fills
// a Sheet in.
//
// card.go is what a sheet holds. font.go measures letters, canvas.go has the marks on paper; layout.go places the parts of a card one
// under another: top.go, rows.go with what is filled in, form.go, and careful.go. pdf.go and svg.go write the marks, html.go the page
// with its template card.html: for a screen in its own way, for paper the same marks as the PDF.
package card

import (
	"fmt"
	"image"
	"math"
	"time"

	"huewright/colour"
)

// A Sheet is what hangs over the bench: one sheet with all that is to be done.
type Sheet struct {
	Title    string
	Date     time.Time
	Ref      string        // where the log has it; "" for none
	US       bool          // US terms and units
	Photos   []image.Image // areas numbered, of the piece's photos; the first is shown largest
	Areas    []Area
	Mixes    []Mix
	Before   []Step // what comes before the first coat
	After    []Step // and after the last
	Days     []Day  // the whole timetable, for a screen
	Ready    string
	Other    string    // another plan, in a line; "" for none
	First    string    // what comes before all cautions
	Matters  []Caution // those that stand here, the worst danger first
	Warnings []string
	Note     string // what colours hold for
	Nonce    string // that the page's style carries, where it is served; "" for none
}

// A Mix is what to mix of one coating.
type Mix struct {
	Letter  string // by which rows name it; "" where there is only one
	Coating string
	Ratio   string // "1 part paint to 4 parts water"
	Amount  string // in a sentence or two; "" where nothing is known
}

func (m Mix) String() string {
	s := m.Coating + ": " + m.Ratio + "."
	if m.Amount != "" {
		s += " " + m.Amount
	}
	return s
}

// An Area is one area of a card.
type Area struct {
	Number   int
	Name     string
	About    string // wood, surface, size
	Count    string // how many coats to lay, of each coating: "2+1"
	Coats    string // the same in words, with ranges
	Laid     int    // coats that lie there already
	Stop     string // after which coat to stop and look
	StopAt   int    // how many of Steps come before the stop
	Steps    []Coat
	Left     string // what is left over then, and from where it is seen
	Short    string // the same, with areas of long names by their numbers
	Swatches []Swatch
}

// A Coat is one coat to come on an area.
type Coat struct {
	Number  int    // over what lies there already: 2 is the second coat
	Letter  string // of its mix
	Coating string
	Lab     colour.Lab // of the area with it
	Planned string     // when; "" where that is not known
	Scuffed bool       // rubbed down before it
	Seal    string     // what seals what lies under it; "" for nothing
	Notes   []string   // until when it must be on, and the like
}

// A Swatch is a colour with what it is and its figures, so that nothing is lost in black and
// white.
type Swatch struct {
	Name string
	Lab  colour.Lab
}

// Figures are the swatch's colour in figures.
func (s Swatch) Figures() string { return figuresOf(s.Lab) }

// Figures are the colour of the area with the coat.
func (c Coat) Figures() string { return figuresOf(c.Lab) }

func figuresOf(c colour.Lab) string {
	return fmt.Sprintf("L* %.0f  a* %.0f  b* %.0f", c.L, round0(c.A), round0(c.B))
}

func round0(v float64) float64 { return math.Round(v) + 0 } // −0 becomes 0

// A Day is the steps of one day.
type Day struct {
	Day   string
	Steps []Step
}

// A Step is one line to tick.
type Step struct {
	Time, What string
	Notes      []string
}

// A Caution is a danger and what to do about it, under a key of one or two words.
type Caution struct{ Key, Text string }
