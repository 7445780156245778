package report

import (
	"fmt"
	"io"
	"math"
	"strings"
	"unicode/utf8"

	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/terminal"
)

// swatchWidth is what a swatch takes, or the hex code that stands there where a screen shows no colours.
const swatchWidth = terminal.SwatchWidth

// swatch is a patch of the colour, for a terminal.Writer.
func swatch(c colour.Lab) string { return terminal.Swatch(c.LinearRGB().Encode()) }

// A page gathers text and writes it once, so that a fault on the way leaves nothing half
// written.
type page struct {
	Style
	strings.Builder
	brevity brevity
	short   *strings.Replacer // of long names that stood whole; nil for none
	run     []string          // paragraphs that are one with what follows
}

func (p *page) line(format string, args ...any) {
	p.endRun()
	fmt.Fprintf(p, format+"\n", args...)
}

func (p *page) writeTo(w io.Writer) error {
	_, err := io.WriteString(w, p.String())
	return err
}

// Aside writes what a note says of something done beside an answer, below the answer.
func (s Style) Aside(w io.Writer, n fault.Note) error {
	p := page{Style: s}
	p.line("")
	p.wrapped("  ", p.Say(n))
	return p.writeTo(w)
}

// wrapped writes a paragraph with its first line after lead and the rest in line with it, or, where the lead takes more than two fifths
// of the width, a little further in than the lead is.
func (p *page) wrapped(lead, text string) {
	if p.brevity >= runOn && lead == "" {
		p.run = append(p.run, text)
		return
	}
	p.hanging(lead, utf8.RuneCountInString(lead), text)
}

// endRun writes the paragraphs that are one.
func (p *page) endRun() {
	if text := sentences(p.run...); text != "" {
		p.run = nil
		p.hanging("", 0, text)
	}
}

// hanging writes a paragraph whose first line comes after a lead that is as wide on the screen as
// width, whatever colours it has.
// Nothing is written where the text is empty.
func (p *page) hanging(lead string, width int, text string) { p.hangingAt(lead, width, width, text) }

// hangingAt is hanging with what follows the first line in by in columns.
func (p *page) hangingAt(lead string, width, in int, text string) {
	if text == "" {
		return
	}
	p.endRun()
	if p.short != nil {
		text = p.short.Replace(text)
	}
	if in > p.width()*2/5 {
		in = len(lead) - len(strings.TrimLeft(lead, " ")) + 2
	}
	p.WriteString(lead)
	for i, word := range unbroken(text) {
		n := utf8.RuneCountInString(word)
		switch {
		case (i > 0 || width > in) && width+1+n > p.width():
			p.WriteString("\n" + strings.Repeat(" ", in))
			width = in
		case i > 0:
			p.WriteByte(' ')
			width++
		}
		p.WriteString(word)
		width += n
	}
	p.WriteByte('\n')
}

// unbroken are the words of a text: a figure together with what it belongs to, "56 %", "ΔE00 2.1", "± 2", "(now 3".
func unbroken(text string) (all []string) {
	for _, word := range strings.Fields(text) {
		if n := len(all); n > 0 && (strings.HasPrefix(word, "%") || strings.HasSuffix(all[n-1], "ΔE00") || strings.HasSuffix(all[n-1], "±")) {
			all[n-1] += " " + word
			continue
		}
		all = append(all, word)
	}
	return all
}

func (p *page) warnings(indent string, warnings []fault.Note) {
	for _, w := range p.Warnings(warnings) {
		p.wrapped(indent+"! ", w)
	}
}

// fault writes what went wrong, and what to do about it where the error says so.
func (p *page) fault(lead, what string, err error) {
	says, hint := p.Fault(err)
	p.wrapped(lead, what+says)
	if hint != "" {
		p.wrapped("  hint: ", hint)
	}
}

// longest is the width of the widest name.
func longest[T any](items []T, name func(T) string) int {
	widest := 0
	for _, it := range items {
		widest = max(widest, utf8.RuneCountInString(name(it)))
	}
	return widest
}

func pad(s string, width int) string {
	return s + strings.Repeat(" ", max(0, width-utf8.RuneCountInString(s)))
}

// lab writes a colour in columns, labWidth wide.
func lab(c colour.Lab) string {
	tenth := func(v float64) float64 { return math.Round(10*v)/10 + 0 } // −0 becomes 0
	return fmt.Sprintf("L* %5.1f  a* %5.1f  b* %5.1f", tenth(c.L), tenth(c.A), tenth(c.B))
}

const labWidth = 28

// inLine writes a colour without columns.
func inLine(c colour.Lab) string { return strings.Join(strings.Fields(lab(c)), " ") }

// colourRow writes a name, a colour and what is said of it: in columns, the name name wide, where the screen has room for them,
// else one under the other.
func (p *page) colourRow(name string, wide int, c colour.Lab, said string) {
	if n := 2 + max(wide, utf8.RuneCountInString(name)) + 2 + swatchWidth + 2 + labWidth + 2 + utf8.RuneCountInString(said); n <= p.width() {
		p.line("%s", strings.TrimRight(fmt.Sprintf("  %s  %s  %s  %s", pad(name, wide), swatch(c), lab(c), said), " "))
		return
	}
	p.wrapped("  ", joined(": ", name, said))
	p.line("    %s %s", swatch(c), inLine(c))
}
