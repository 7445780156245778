package report

import (
	"io"
	"strings"
	"unicode/utf8"

	"huewright/internal/fault"
	"huewright/internal/workshop"
)

// mostTyped is how many corners an outline may have that is written out in text.
const mostTyped = 12

// CarryText writes outlines that were carried to another photo, for a terminal.
func (s Style) CarryText(w io.Writer, r *workshop.CarryResult) error {
	p := page{Style: s}
	if s.Quiet {
		for i := range r.Areas {
			if a := &r.Areas[i]; a.Sure != workshop.Beside {
				p.quietLine(a.Name, a.Outline.String())
			}
		}
		return p.writeTo(w)
	}
	p.line("%s", r.To)
	wide := longest(r.Areas, func(a workshop.CarriedArea) string { return a.Name })
	for i := range r.Areas {
		a := &r.Areas[i]
		says := p.say("carry.sureness", "sure", string(a.Sure))
		if n := a.Corners(); n > mostTyped {
			says = joined(": ", says, p.say("carry.corners", "n", n))
		} else if n > 0 {
			says = joined(": ", says, a.Outline.String())
		}
		p.wrapped("  "+a.Name+strings.Repeat(" ", wide-utf8.RuneCountInString(a.Name))+"  ", says)
		p.warnings("    ", a.Warnings)
	}
	p.line("")
	if r.Proposed() {
		p.warnings("  ", []fault.Note{fault.Say("carry.proposed")})
	} else {
		p.wrapped("  ", p.say("carry.by-slips", "slips", r.SlipNumbers(), "n", len(r.Slips)))
	}
	if p.Full {
		p.wrapped("  ", p.say("carry.places", "found", r.Found(), "n", r.Places))
	}
	p.warnings("  ", r.Warnings)
	return p.writeTo(w)
}

type carryJSON struct {
	Version  int               `json:"version"`
	From     string            `json:"from"`
	Photo    string            `json:"photo"`
	Slips    []slipJSON        `json:"slips"`
	Proposed bool              `json:"proposed"`
	Places   int               `json:"places"`
	Agree    num               `json:"agree"`
	Areas    []carriedAreaJSON `json:"areas"`
	Warnings []string          `json:"warnings"`
}

type carriedAreaJSON struct {
	Name     string   `json:"name"`
	Outline  string   `json:"outline"`
	Sure     string   `json:"sure"`
	Seen     num      `json:"seen"`
	Edges    num      `json:"edges"`
	Warnings []string `json:"warnings"`
}

// CarryJSON writes outlines that were carried to another photo as JSON.
func CarryJSON(w io.Writer, r *workshop.CarryResult) error {
	out := carryJSON{
		Version: Version, From: r.From, Photo: r.To, Slips: []slipJSON{}, Proposed: r.Proposed(), Places: r.Places, Agree: num(r.Agree),
		Areas: []carriedAreaJSON{}, Warnings: warningsOf(r.Warnings),
	}
	for _, d := range r.Slips {
		out.Slips = append(out.Slips, slipJSON{d.Number, d.Set, d.Grey})
	}
	for i := range r.Areas {
		a := &r.Areas[i]
		j := carriedAreaJSON{Name: a.Name, Sure: string(a.Sure), Seen: num(a.Seen), Edges: num(a.Edges), Warnings: warningsOf(a.Warnings)}
		if a.Sure != workshop.Beside {
			j.Outline = a.Outline.String()
		}
		out.Areas = append(out.Areas, j)
	}
	return writeJSON(w, out)
}
