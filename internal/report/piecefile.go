package report

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// A pieceFile is a piece file that is being written.
type pieceFile struct{ page }

// PieceFile writes a piece as a piece file that piece.Read reads: its photos, ties, areas with what they were measured as,
// target and coatings. Remarks say what may be filled in, and what has to be before the piece can be planned.
func (s Style) PieceFile(w io.Writer, p *piece.Piece, measured []workshop.AreaReading) error {
	f := pieceFile{page{Style: s}}
	f.remark(f.Warnings([]fault.Note{fault.Say("begin.head")})[0])
	f.line("")
	f.key("name", p.Name)
	alone := len(p.Photos) == 1 && plainPhoto(&p.Photos[0])
	if alone {
		f.key("photo", p.Photos[0].File)
	}
	f.key("candidates", p.Candidates)
	f.line("")
	f.target(p)
	for i := range p.Photos {
		if !alone {
			f.photo(&p.Photos[i])
		}
	}
	for _, t := range p.Ties {
		f.line("\n[[tie]]")
		f.key("name", t.Name)
		f.outlines("in", t.In)
	}
	for i := range p.Areas {
		f.area(p, &p.Areas[i], measured)
	}
	f.coatings(p.Coatings)
	return f.writeTo(w)
}

// plainPhoto reports whether a photo is no more than its file.
func plainPhoto(p *piece.Photo) bool {
	return p.Name == piece.PhotoName(p.File) && p.Reference == "" && p.Corners == "" && p.ChartAt == "" && p.Edition == "" && p.Grey == "" &&
		p.ChartValues == "" && len(p.Neutrals) == 0 && len(p.NotSlips) == 0 && len(p.SlipCorners) == 0 && p.NeutralLightness == 0 &&
		p.Flat == "" &&
		p.ChartWidth == 0 && p.Scale == nil
}

// remark writes sentences, each line after a #.
func (f *pieceFile) remark(text string) {
	line := "#"
	for _, word := range strings.Fields(text) {
		if line != "#" && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > f.width() {
			f.line("%s", line)
			line = "#"
		}
		line += " " + word
	}
	f.line("%s", line)
}

// key writes a key with text, if there is any.
func (f *pieceFile) key(key, text string) {
	if text != "" {
		f.line("%s = %s", key, piece.Quoted(text))
	}
}

// list writes a key with texts, one a line, if there are any.
func (f *pieceFile) list(key string, texts []string) {
	if len(texts) == 0 {
		return
	}
	f.line("%s = [", key)
	for _, text := range texts {
		f.line("  %s,", piece.Quoted(text))
	}
	f.line("]")
}

// number writes a key with a number above 0.
func (f *pieceFile) number(key string, v float64) {
	if v > 0 {
		f.line("%s = %g", key, v)
	}
}

// outlines writes outlines by the names of their photos.
func (f *pieceFile) outlines(key string, in map[string]string) {
	for _, photo := range slices.Sorted(maps.Keys(in)) {
		f.line("%s.%s = %s", key, piece.Quoted(photo), piece.Quoted(in[photo]))
	}
}

func (f *pieceFile) target(p *piece.Piece) {
	code := fault.Code("begin.target")
	if len(p.Areas) == 1 {
		code = "begin.target-needed"
	}
	f.remark(f.say(code))
	if p.Target == nil {
		f.line("# target = \"#7a5a40\"")
		return
	}
	f.source("target", p.Target)
}

// source writes a colour: as text where text is all there is to say, else by its keys.
func (f *pieceFile) source(key string, s *piece.ColourSource) {
	switch {
	case s.Area != "":
		f.key(key+".area", s.Area)
	case s.Lab != nil:
		f.line("%s = \"%g, %g, %g\"", key, s.Lab[0], s.Lab[1], s.Lab[2])
	case s.Photo != "":
		f.key(key+".photo", s.Photo)
		f.key(key+".outline", s.Outline)
	default:
		f.key(key, s.Hex+s.Outline)
	}
}

func (f *pieceFile) photo(p *piece.Photo) {
	f.line("\n[[photo]]")
	f.key("name", p.Name)
	f.key("file", p.File)
	f.key("reference", p.Reference)
	f.key("corners", p.Corners)
	f.key("chart_at", p.ChartAt)
	f.key("chart_edition", p.Edition)
	f.key("chart_values", p.ChartValues)
	f.key("grey", p.Grey)
	f.number("grey_lightness", p.GreyLightness)
	f.list("neutral", p.Neutrals)
	f.number("neutral_lightness", p.NeutralLightness)
	f.list("not_slip", p.NotSlips)
	f.list("slip_corners", p.SlipCorners)
	f.key("flat", p.Flat)
	f.number("chart_width", p.ChartWidth)
	if s := p.Scale; s != nil {
		f.key("scale.from", s.From)
		f.key("scale.to", s.To)
		f.number("scale.mm", s.MM)
	}
}

func (f *pieceFile) area(p *piece.Piece, a *piece.Area, measured []workshop.AreaReading) {
	f.line("\n[[area]]")
	f.key("name", a.Name)
	if len(p.Photos) > 1 {
		f.key("photo", a.Photo)
	}
	f.key("outline", a.Outline)
	f.key("tap", a.Tap)
	f.outlines("also", a.Also)
	if i := slices.IndexFunc(measured, func(m workshop.AreaReading) bool { return m.Name == a.Name }); i >= 0 {
		m := &measured[i]
		f.remark(f.say("begin.measured", "colour", inLine(m.Reading.Mean), "plus-minus", m.Reading.PlusMinus))
	}
	f.line("# wood = \"ash\"\n# surface = \"sealed\"\n# size_m2 = 0.6")
}

func (f *pieceFile) coatings(all []piece.Coating) {
	if len(all) == 0 {
		f.line("")
		f.remark(f.Warnings([]fault.Note{fault.Say("begin.coating")})[0])
		f.line("# [[coating]]\n# name = \"brown wash\"\n# kind = \"wash\"\n# dilution = \"1 paint, 4 water\"\n# chip = \"#7a5a40\"")
	}
	for i := range all {
		k := &all[i]
		f.line("\n[[coating]]")
		f.key("name", k.Name)
		f.key("kind", k.Kind)
		if d := k.Dilution; d != nil {
			f.key("dilution", fmt.Sprintf("%g paint, %g water", d.Paint, d.Water))
		}
		f.source("chip", k.Chip)
	}
}
