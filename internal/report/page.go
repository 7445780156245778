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

// swatch is a patch of the colour, for a terminal.Writer.
func swatch(c colour.Lab) string { return terminal.Swatch(c.LinearRGB().Encode()) }

// A page gathers text and writes it once, so that a fault on the way leaves nothing half
// written.
type page struct {
	Style
	strings.Builder
}

func (p *page) line(format string, args ...any) { fmt.Fprintf(p, format+"\n", args...) }

func (p *page) writeTo(w io.Writer) error {
	_, err := io.WriteString(w, p.String())
	return err
}

// wrapped writes a paragraph with its first line after lead and the rest in line with it.
func (p *page) wrapped(lead, text string) {
	indent := strings.Repeat(" ", utf8.RuneCountInString(lead))
	width := utf8.RuneCountInString(lead)
	p.WriteString(lead)
	for i, word := range unbroken(text) {
		n := utf8.RuneCountInString(word)
		if i > 0 && width+1+n > p.width() {
			p.WriteString("\n" + indent)
			width = len(indent)
		} else if i > 0 {
			p.WriteByte(' ')
			width++
		}
		p.WriteString(word)
		width += n
	}
	p.WriteByte('\n')
}

// unbroken are the words of a text, a figure together with its percent sign.
func unbroken(text string) (all []string) {
	for _, word := range strings.Fields(text) {
		if n := len(all); n > 0 && strings.HasPrefix(word, "%") {
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

// lab writes a colour in columns.
func lab(c colour.Lab) string {
	tenth := func(v float64) float64 { return math.Round(10*v)/10 + 0 } // −0 becomes 0
	return fmt.Sprintf("L* %5.1f  a* %5.1f  b* %5.1f", tenth(c.L), tenth(c.A), tenth(c.B))
}

// hanging writes a paragraph whose first line comes after a lead that is as wide on the screen as
// width, whatever colours it has.
func (p *page) hanging(lead string, width int, text string) {
	inner := page{Style: p.Style}
	inner.wrapped(strings.Repeat(" ", width), text)
	p.WriteString(lead + strings.TrimPrefix(inner.String(), strings.Repeat(" ", width)))
}

// howMany is a number of things in words.
func howMany(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
