package report

import (
	"fmt"
	"io"
	"strings"

	"huewright/internal/workshop"
)

// A PreviewFile is a picture that a preview has written.
type PreviewFile struct {
	Path   string
	Photo  string // that it shows; "" for a strip
	Area   string // that it shows; "" for a whole photo
	What   string // before, after, pair, lamp (after, by a warm lamp), lights (after and lamp) or strip
	Width  int
	Height int
	Shown  []workshop.Shown // the areas in it
}

// A Preview is the pictures of a plan.
type Preview struct {
	Plan  *workshop.PlanResult // that is shown
	Files []PreviewFile
}

// PreviewText lists the pictures of a preview.
func (s Style) PreviewText(w io.Writer, v Preview) error {
	p, files := page{Style: s}, v.Files
	name := longest(files, func(f PreviewFile) string { return f.Path })
	for _, f := range files {
		p.line("  %s  %d × %d", pad(f.Path, name), f.Width, f.Height)
		if f.What != "after" {
			continue
		}
		for _, shown := range f.Shown {
			clear := ""
			if shown.Clear {
				clear = "yes"
			}
			p.hanging("    "+swatch(shown.Lab)+"  ", 4+swatchWidth+2,
				p.say("preview.shown", "area", shown.Area, "n", coatsIn(shown.Coats), "clear", clear))
			if p.Full {
				p.line("      %s", inLine(shown.Lab))
			}
		}
	}
	p.line("")
	p.wrapped("  ", p.asAsked(v.Plan))
	p.wrapped("  ! ", p.say(workshop.OnlyAGuide))
	return p.writeTo(w)
}

type shownJSON struct {
	Area     string `json:"area"`
	Coats    string `json:"coats"`
	Lab      [3]num `json:"lab"`
	Clear    bool   `json:"under_clear_coat"`
	Corrects num    `json:"corrected_by"` // ΔE00 by which the mean of its pixels was set right
}

type previewFileJSON struct {
	Path   string      `json:"path"`
	Photo  string      `json:"photo,omitempty"`
	Area   string      `json:"area,omitempty"`
	What   string      `json:"what"`
	Width  int         `json:"width"`
	Height int         `json:"height"`
	Shown  []shownJSON `json:"shown"`
}

type previewJSON struct {
	Version int               `json:"version"`
	Files   []previewFileJSON `json:"files"`
	WhatIf  bool              `json:"what_if"` // the pictures show coats that somebody named, not those of the plan
	Note    string            `json:"note"`
}

// PreviewJSON lists the pictures of a preview as JSON.
func PreviewJSON(w io.Writer, v Preview) error {
	out := previewJSON{Version, []previewFileJSON{}, v.Plan.Suggested != nil, Style{}.say(workshop.OnlyAGuide)}
	for _, f := range v.Files {
		j := previewFileJSON{f.Path, f.Photo, f.Area, f.What, f.Width, f.Height, []shownJSON{}}
		for _, s := range f.Shown {
			var coats []string
			for _, c := range s.Coats {
				coats = append(coats, fmt.Sprintf("%d × %s", c.Count, c.Coating))
			}
			j.Shown = append(j.Shown, shownJSON{s.Area, strings.Join(coats, ", "), triple(s.Lab), s.Clear, num(s.Corrects)})
		}
		out.Files = append(out.Files, j)
	}
	return writeJSON(w, out)
}
