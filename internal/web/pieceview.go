package web

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"huewright/imageio"
	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/report"
	"huewright/internal/words"
	"huewright/internal/workshop"
)

// A pieceView is what a piece's page shows.
type pieceView struct {
	*pieceDraft
	Says   words.Speaker // in the units of the piece
	Undo   string
	Do     string // where forms ask for a step
	Lost   int    // steps at the end that cannot be read
	Demo   bool   // it is the demo's cabinet
	Photos []photoView
	Areas  []areaView
	Room   piece.Room  // as it is set; the zero value for none
	Clear  piece.Clear // the clear coat to come; no name for none
	Apart  []string    // how far areas are from one another
	Plan   *planView
}

type photoView struct {
	piece.Photo
	workshop.PhotoLook
	Ties     []string
	Proposed []paperView
	Printed  []printedView
}

// A printedView is a printed slip in a photo, found or given.
type printedView struct {
	Corners string
	Number  int
}

// sortSlips leaves those of the printed slips out that were found where none is, puts those that were given in the place of others, and
// says where each is.
func (p *photoView) sortSlips(said piece.SlipMarks) {
	found, at := p.Slips, p.SlipsAt
	p.Slips = nil
	for i, design := range found {
		if i >= len(at) {
			p.Slips = append(p.Slips, design) // found before their places were kept
			continue
		}
		o, err := imageio.ParseOutline(at[i])
		if err == nil && slices.ContainsFunc(said.NotSlips, o.Contains) ||
			slices.ContainsFunc(p.SlipCorners, func(given string) bool { return overlap(given, at[i]) }) {
			continue
		}
		p.Slips = append(p.Slips, design)
		if err == nil {
			p.Printed = append(p.Printed, printedView{at[i], design.Number})
		}
	}
	for _, corners := range p.SlipCorners {
		design := p.SlipsGiven[corners].Design
		p.Slips = append(p.Slips, design)
		p.Printed = append(p.Printed, printedView{corners, design.Number})
	}
}

// A paperView is something in a photo that may be a slip of paper.
type paperView struct {
	workshop.PaperLook
	Number, X, Y, Letters int // X and Y are where its number stands, Letters how large
	Agreed                bool
}

// proposed are the papers of a photo, as they are to be agreed to.
func proposed(p *photoView) (all []paperView) {
	for i, look := range p.Papers {
		letters := max(p.Width, p.Height) / 18
		view := paperView{
			PaperLook: look, Number: i + 1, Letters: letters, Agreed: slices.Contains(p.Neutrals, look.Outline) || p.Grey == look.Outline,
			X: min(look.TopX, p.Width-letters), Y: max(look.TopY-letters/3, letters),
		}
		for _, other := range all { // its number stands beside those before it, not on them
			if abs(view.X-other.X) < letters && abs(view.Y-other.Y) < letters {
				view.X = other.X + letters
			}
		}
		all = append(all, view)
	}
	return all
}

type areaView struct {
	piece.Area
	Spot       *workshop.SpotReading
	Shape      []string // all of it, as paths of a drawing
	TagX, TagY string   // where its name stands
}

// areaViewOf is an area as it lies on its photo.
func areaViewOf(d *pieceDraft, a piece.Area) areaView {
	v := areaView{Area: a}
	if spot, ok := d.Read[a.Name]; ok {
		v.Spot = &spot
	}
	for _, outline := range a.Shown {
		v.Shape = append(v.Shape, pathOf(outline))
	}
	if len(v.Shape) == 0 {
		v.Shape = append(v.Shape, pathOf(a.Outline))
	}
	if o, err := imageio.ParseOutline(a.Outline); err == nil {
		look := d.Photos[a.Photo]
		at := within(o, look.Width, look.Height)
		v.TagX, v.TagY = short(at.X), short(at.Y)
	}
	return v
}

// within is a place well within an outline on a photo of a size: the middle of one of its longest rows.
func within(o imageio.Outline, width, height int) imageio.Point {
	longest := 0
	var rows []imageio.Span
	for _, row := range o.Spans(width, height) {
		switch long := row.X1 - row.X0; {
		case 20*long > 21*longest:
			longest, rows = long, append(rows[:0], row)
		case 21*long >= 20*longest:
			rows = append(rows, row)
		}
	}
	if len(rows) == 0 {
		return o.Centre()
	}
	row := rows[len(rows)/2]
	return imageio.Point{X: float64(row.X0+row.X1) / 2, Y: float64(row.Y)}
}

// Letters are how large a name stands on a photo, in its pixels.
func (p *photoView) Letters() int { return max(p.Width, p.Height) / 24 }

// Good reports whether nothing is wrong with a photo.
func (p *photoView) Good() bool { return len(p.Warnings) == 0 }

// Set reports whether something in a photo has a known colour.
func (p *photoView) Set() bool { return p.Reference != "none" }

// pieceView is the page of a piece, with its plan where it has one.
func (s *Server) pieceView(d *pieceDraft, m *shownPlan) *pieceView {
	v := &pieceView{
		pieceDraft: d, Says: speakerOf(d), Undo: s.drafts.canUndo(d.ID), Lost: d.damaged, Do: "/piece/" + d.ID + "/do?seen=" + d.key,
		Demo: d.ID == demoID,
	}
	v.Clear.Coats = 2
	if d.Piece.Clear != nil {
		v.Clear = *d.Piece.Clear
	}
	if d.Piece.Room != nil {
		v.Room = *d.Piece.Room
	}
	for _, p := range d.Piece.Photos {
		view := photoView{Photo: p, PhotoLook: d.Photos[p.Name]}
		view.Proposed = proposed(&view)
		view.sortSlips(d.Piece.SlipMarksOf(p.File))
		for _, t := range d.Piece.Ties {
			if t.In[p.Name] != "" {
				view.Ties = append(view.Ties, t.Name)
			}
		}
		v.Photos = append(v.Photos, view)
	}
	for _, a := range d.Piece.Areas {
		v.Areas = append(v.Areas, areaViewOf(d, a))
	}
	for i := range v.Areas {
		for k := i + 1; k < len(v.Areas) && len(v.Apart) < 6; k++ {
			if a, b := v.Areas[i].Spot, v.Areas[k].Spot; a != nil && b != nil {
				apart := report.Style{Speaker: v.Says}.ApartWords(v.Areas[k].Name, b.Lab, v.Areas[i].Name, a.Lab)
				v.Apart = append(v.Apart, isolated(apart, d.Piece.Areas))
			}
		}
	}
	if m != nil {
		v.Plan = s.planView(d, m)
	}
	return v
}

// A tolerance is a difference that may be called close enough.
type tolerance struct {
	Value, Says string
	Now         bool
}

// Tolerances are what may be called close enough. One that was set otherwise, by a piece file, is among them as it is.
func (v *pieceView) Tolerances() []tolerance {
	all := []tolerance{
		{"", "close side by side", false}, {"0.8", "no difference side by side", false}, {"4", "alike at arm's length", false},
		{"8", "alike from across the room", false},
	}
	set := ""
	if v.Piece.Tolerance != 0 {
		set = short(v.Piece.Tolerance)
	}
	at := slices.IndexFunc(all, func(t tolerance) bool { return t.Value == set })
	if at < 0 {
		at, all = len(all), append(all, tolerance{Value: set, Says: "as it was set before"})
	}
	all[at].Now = true
	return all
}

// Begins is when work begins, as a field for a day and a time has it; "" where that is not said.
func (v *pieceView) Begins() string {
	const minutes = len("2026-03-14T09:00")
	start := strings.Replace(v.Room.Start, " ", "T", 1)
	if start != "" && !strings.Contains(start, "T") {
		start += "T" + cmp.Or(v.Room.Opens, "08:00")
	}
	return start[:min(len(start), minutes)]
}

// AreaUnit is what sizes are given in.
func (v *pieceView) AreaUnit() string {
	if v.Says.US {
		return "ft²"
	}
	return "m²"
}

// Size is a size, of square metres, in the units of the piece.
func (v *pieceView) Size(squareMetres float64) string { return sizeText(squareMetres, v.Says.US) }

// squareFoot is in square metres; exact, by definition of the international foot.
const squareFoot = 0.3048 * 0.3048

func sizeText(squareMetres float64, us bool) string {
	if us {
		return strconv.FormatFloat(squareMetres/squareFoot, 'g', 3, 64)
	}
	return strconv.FormatFloat(squareMetres, 'g', -1, 64)
}

// FamilyWords is what a coating is thinned with.
func (v *pieceView) FamilyWords(family string) string {
	return v.Says.Say(fault.Say("page.family", "family", family))
}

// BatchLabel asks for a coating's tin or mix.
func (v *pieceView) BatchLabel() string { return v.Says.Say(fault.Say("page.batch")) }

// MayPlan reports whether a plan of the piece as it now is must be asked for.
func (v *pieceView) MayPlan() bool {
	return v.Plan == nil || v.Plan.Outdated != "" || v.Plan.Fault != ""
}

func abs(n int) int { return max(n, -n) }
