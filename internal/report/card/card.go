// Package card lays out the bench card: one sheet with all that is to be done, to hang over the bench. A [Sheet] holds its texts,
// colours and photos; [HTML] and [PDF] write it on a paper of [Papers]. It knows nothing of wood: report.NewCard fills a Sheet in.
//
// card.go is what a sheet holds, html.go the page with its template card.html; pdf.go draws the parts of the PDF one under
// another, layout.go the text in them.
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
	Photos   []image.Image // areas numbered, of the piece's photos; the first is shown largest
	Areas    []Area
	Mixes    []string // what to mix
	Days     []Day
	Ready    string
	First    string    // what comes before all cautions
	Matters  []Caution // those that stand here
	Warnings []string
	Note     string // what colours hold for
	Nonce    string // that the page's style carries, where it is served; "" for none
}

// An Area is one area of a card.
type Area struct {
	Number   int
	Name     string
	About    string // wood, surface, size
	Coats    string // what to lay, in words
	Stop     string // after which coat to stop and look
	Left     string // what is left to the target then
	Swatches []Swatch
}

// A Swatch is a colour with what it is and its figures, so that nothing is lost in black and
// white.
type Swatch struct {
	Name string
	Lab  colour.Lab
}

// Figures are the swatch's colour in figures.
func (s Swatch) Figures() string {
	return fmt.Sprintf("L* %.0f  a* %.0f  b* %.0f", s.Lab.L, round0(s.Lab.A), round0(s.Lab.B))
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
