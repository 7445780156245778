package web

import (
	"context"
	"fmt"
	"html/template"
	"slices"
	"strings"
	"time"

	"huewright/blend"
	"huewright/internal/logbook"
	"huewright/internal/piece"
	"huewright/internal/record"
	"huewright/internal/report"
	"huewright/internal/workshop"
)

// pageFunctions are what pages may call.
var pageFunctions = template.FuncMap{
	"hex":   report.HexOf,
	"lab":   report.LabWords,
	"when":  func(t time.Time) string { return t.Local().Format("2 Jan 2006, 15:04") },
	"day":   func(t time.Time) string { return t.Local().Format("2 Jan 2006") },
	"join":  strings.Join,
	"lower": strings.ToLower,
	"tell":  func(e logbook.Entry) record.Description { return record.Describe(&e) },
	"kinds": func() []string { return blend.Kinds }, "families": func() []string { return blend.Families },
	"putons": func() []string { return blend.PutOns }, "surfaces": func() []string { return piece.Surfaces },
	"dilution": func(d *piece.Dilution) string { return d.String() },
	"source":   sourceWords,
	"dict":     dict,
	"outlineOf": func(s *piece.ColourSource) string {
		if s == nil {
			return ""
		}
		return s.Outline
	},
	"photoOf": func(s *piece.ColourSource) string {
		if s == nil {
			return ""
		}
		return s.Photo
	},
	"list": func(s ...string) []string { return s },
}

// dict is a map of its arguments, a key and a value in turn, for a part of a page that needs several.
func dict(pairs ...any) map[string]any {
	m := map[string]any{}
	for i := 0; i+1 < len(pairs); i += 2 {
		m[pairs[i].(string)] = pairs[i+1]
	}
	return m
}

func sourceWords(s *piece.ColourSource) string {
	switch {
	case s == nil:
		return ""
	case s.Outline != "":
		return "outlined in photo " + s.Photo
	case s.Hex != "":
		return s.Hex
	case s.Area != "":
		return "the area " + s.Area
	}
	return fmt.Sprintf("L* %g a* %g b* %g", s.Lab[0], s.Lab[1], s.Lab[2])
}

// A pieceView is what a piece's page shows.
type pieceView struct {
	*Draft
	Undo   string
	Photos []photoView
	Areas  []areaView
	Apart  []string // how far areas are from one another
	Plan   *planView
	Next   string // what to do next
}

type photoView struct {
	piece.Photo
	workshop.PhotoLook
	Ties     []string
	Proposed []paperView
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
		all = append(all, paperView{
			PaperLook: look, Number: i + 1, Letters: letters, Agreed: slices.Contains(p.Neutrals, look.Outline) || p.Grey == look.Outline,
			X: min(look.TopX, p.Width-letters), Y: max(look.TopY-letters/3, letters),
		})
	}
	return all
}

type areaView struct {
	piece.Area
	Spot *workshop.SpotReading
}

// A planView is a plan as a page shows it.
type planView struct {
	Warnings []string
	Areas    []areaPlanView
	Meet     string
	Mixes    []string
	Tests    []string
	Habit    string
	Earlier  []string
	Photos   []string
	Key      string // changes when the plan does: browsers then ask anew
	Text     string // all of it, as the terminal has it
	Schedule *scheduleView
}

type areaPlanView struct {
	Name, About   string
	Coats, Stop   string
	Left          string
	Chart         template.HTML
	Swatches      []report.CardSwatch
	Why           string
	Laid          []string
	Choices       []string
	Grain         string
	NextCoating   string
	LaidSoFar     int
	Reachable     bool
	NeedsNoCoats  bool
	PredictedNext string
}

type scheduleView struct {
	Days     []report.CardDay
	Ready    string
	Warnings []string
	Matters  []report.CardCaution
	Others   string
	Label    string
}

func (s *Server) pieceView(ctx context.Context, d *Draft, m *madePlan) *pieceView {
	v := &pieceView{Draft: d, Undo: s.drafts.canUndo(d.ID)}
	for _, p := range d.Piece.Photos {
		view := photoView{Photo: p, PhotoLook: d.Photos[p.Name]}
		view.Proposed = proposed(&view)
		for _, t := range d.Piece.Ties {
			if t.In[p.Name] != "" {
				view.Ties = append(view.Ties, t.Name)
			}
		}
		v.Photos = append(v.Photos, view)
	}
	for _, a := range d.Piece.Areas {
		view := areaView{Area: a}
		if spot, ok := d.Read[a.Name]; ok {
			view.Spot = &spot
		}
		v.Areas = append(v.Areas, view)
	}
	for i := range v.Areas {
		for k := i + 1; k < len(v.Areas) && len(v.Apart) < 6; k++ {
			if a, b := v.Areas[i].Spot, v.Areas[k].Spot; a != nil && b != nil {
				d := workshop.Differ(a.Lab, b.Lab)
				v.Apart = append(v.Apart, fmt.Sprintf("beside %s, %s is %s (ΔE00 %.1f)", v.Areas[i].Name, v.Areas[k].Name, d.Words, d.DeltaE2000))
			}
		}
	}
	if m != nil {
		v.Plan = s.planView(ctx, d, m)
	}
	v.Next = next(v)
	return v
}

// next says what to do next.
func next(v *pieceView) string {
	switch {
	case len(v.Photos) == 0:
		return "photos"
	case len(v.Areas) == 0:
		return "areas"
	case len(v.Piece.Coatings) == 0:
		return "coatings"
	case v.Plan == nil:
		return "plan"
	}
	return "bench"
}

func (s *Server) planView(ctx context.Context, d *Draft, m *madePlan) *planView {
	r := m.result
	v := &planView{Warnings: r.Warnings, Photos: m.preview.Photos(), Key: fmt.Sprintf("%x", m.of[:6])}
	var text strings.Builder
	if err := report.PlanText(&text, r); err == nil {
		v.Text = plain(text.String())
	}
	card, schedule, err := s.cardOf(ctx, d, m)
	if err != nil {
		v.Warnings = append(v.Warnings, err.Error())
		return v
	}
	v.Mixes = card.Mixes
	v.Schedule = &scheduleView{Days: card.Days, Ready: card.Ready, Matters: card.Matters, Others: card.Others, Warnings: append(schedule.Fit, schedule.Warnings...)}
	if r.Pieces > 0 {
		v.Habit = report.HabitWords(r.Habit.Film, r.Habit.Wider, r.Pieces)
	}
	for i := range r.Earlier {
		v.Earlier = append(v.Earlier, r.Earlier[i].Coating+": "+report.EarlierWords(&r.Earlier[i]))
	}
	for i := range r.Tests {
		v.Tests = append(v.Tests, report.TestWords(&r.Tests[i]))
	}
	if r.Meet != nil {
		v.Meet = report.MeetWords(r.Meet)
	}
	for i := range r.Areas {
		a := &r.Areas[i]
		c := card.Areas[i]
		view := areaPlanView{
			Name: c.Name, About: c.About, Coats: c.Coats, Stop: c.Stop, Left: c.Left, Swatches: c.Swatches,
			Chart: template.HTML(report.PlanChart(r, a)), // of our own making: names in it are escaped
			Laid:  report.LaidWords(a), Choices: report.ChoiceWords(a), Reachable: true,
		}
		if a.Plan != nil {
			view.Reachable = a.Plan.Reachable
			if !a.Plan.Reachable {
				view.Why = a.Plan.Why
			}
		}
		view.NeedsNoCoats = r.Planned(a) == 0
		coats, _, _, _ := a.Counted(r)
		for _, k := range coats {
			if k.Count > 0 {
				view.NextCoating = k.Coating
				break
			}
		}
		for _, l := range a.Area.Laid {
			view.LaidSoFar += l.Coats
		}
		if len(a.Expected) > 0 {
			e := a.Expected[0]
			view.PredictedNext = report.LabWords(e.Lab, e.PlusMinus)
			if view.NextCoating == "" {
				view.NextCoating = r.Piece.Coatings[e.Coating].Name
			}
		}
		v.Areas = append(v.Areas, view)
	}
	return v
}

// plain is a text without the colours of a terminal.
func plain(text string) string {
	var out strings.Builder
	for {
		i := strings.Index(text, "\x1b[")
		if i < 0 {
			out.WriteString(text)
			return out.String()
		}
		out.WriteString(text[:i])
		end := strings.IndexByte(text[i:], 'm')
		if end < 0 {
			return out.String()
		}
		text = text[i+end+1:]
	}
}
