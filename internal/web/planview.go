package web

import (
	"context"
	"fmt"
	"html/template"
	"strings"
	"time"

	"huewright/internal/report"
	"huewright/internal/report/card"
	"huewright/internal/report/picture"
	"huewright/internal/workshop"
)

// A planView is a plan as a page shows it.
type planView struct {
	Outdated       string // why it is out of date; "" where it is not
	Made           time.Time
	Stored         []string // what the log has of it, where Fault says why there is nothing else to show
	Fault          string
	Warnings       []string
	Areas          []areaPlanView
	Apart, Choices []string // how far areas are apart then; other ways to colour the piece
	Lamp           string   // how far then by a warm lamp
	Mixes          []string
	Tests          []string
	Habit          string
	Earlier        []string
	Photos         []previewed
	Key            string // changes when the plan does: browsers then ask anew
	Text           string // all of it, as the terminal has it
	Schedule       *scheduleView
}

// A previewed photo has the size of the photo itself, so that its place on the page is known before the picture comes.
type previewed struct {
	Name          string
	Width, Height int
}

// An areaPlanView is the plan of one area: as its card has it, and what a page shows beside that.
type areaPlanView struct {
	card.Area
	Chart         template.HTML
	Why           string // the target is out of reach; "" where it is not
	Laid          []string
	NextCoating   string
	LaidSoFar     int
	NeedsNoCoats  bool
	PredictedNext string // its colour after one more coat, in figures
	NextHex       string
}

type scheduleView struct {
	Days     []benchDay
	Ready    string
	Warnings []string
	First    string // before all cautions
	Matters  []card.Caution
}

// planView is a plan on the page of its piece. Where the card cannot be made, it says why among its warnings.
func (s *Server) planView(ctx context.Context, d *pieceDraft, m *shownPlan) *planView {
	says := speakerOf(d)
	if m.cachedPlan == nil {
		return &planView{Outdated: says.Say(m.outdated), Made: m.at, Stored: m.stored, Fault: faultWords(says, m.fault)}
	}
	r := m.result
	said := report.Style{Speaker: says}
	full := said
	full.Full, full.Width = true, phoneColumns
	v := &planView{
		Outdated: says.Say(m.outdated), Made: m.at, Warnings: says.Warnings(r.Warnings),
		Key: fmt.Sprintf("%x%x", m.key.piece[:4], m.key.past[:4]),
	}
	for _, name := range m.preview.Photos() {
		look := d.Photos[name]
		v.Photos = append(v.Photos, previewed{name, look.Width, look.Height})
	}
	var text strings.Builder
	if err := full.PlanText(&text, r); err == nil {
		v.Text = withoutEscapes(text.String())
	}
	sheet, schedule, err := s.cardOf(ctx, d, m)
	if err != nil {
		v.Warnings = append(v.Warnings, faultWords(says, err))
		return v
	}
	for _, m := range sheet.Mixes {
		v.Mixes = append(v.Mixes, m.String())
	}
	v.Schedule = &scheduleView{
		Days: benchDays(d, sheet.Days, m.result.StepKeys(schedule)), Ready: sheet.Ready, First: sheet.First, Matters: sheet.Matters,
		Warnings: says.Warnings(schedule.Warnings),
	}
	if r.Pieces > 0 {
		v.Habit = said.BiasWords(r.Bias.Film, r.Bias.Wider, r.Pieces)
	}
	for i := range r.Earlier {
		v.Earlier = append(v.Earlier, r.Earlier[i].Coating+": "+said.EarlierWords(&r.Earlier[i]))
	}
	for i := range r.Tests {
		v.Tests = append(v.Tests, said.TestWords(&r.Tests[i]))
	}
	for i := range r.Choices[0].Pairs {
		v.Apart = append(v.Apart, said.PairWords(r, &r.Choices[0].Pairs[i]))
	}
	v.Lamp, v.Choices = said.LampWords(r), said.ChoiceWords(r)
	for i := range r.Areas {
		v.Areas = append(v.Areas, areaPlanViewOf(said, r, &r.Areas[i], sheet.Areas[i]))
	}
	return v
}

func areaPlanViewOf(said report.Style, r *workshop.PlanResult, a *workshop.AreaPlan, on card.Area) areaPlanView {
	v := areaPlanView{
		Area: on, Chart: template.HTML(picture.Plan(r, a)), // of our own making: names in it are escaped
		Laid: said.LaidWords(a), LaidSoFar: a.LaidCoats(), NeedsNoCoats: a.Planned() == 0,
	}
	if a.Plan.ToTarget && !a.Plan.Reachable {
		v.Why = strings.Join(said.Warnings(a.Plan.Why), " ")
	}
	for _, k := range a.Plan.Coats {
		if k.Count > 0 {
			v.NextCoating = k.Coating
			break
		}
	}
	if len(a.Expected) > 0 {
		e := a.Expected[0]
		v.PredictedNext, v.NextHex = said.LabWords(e.Lab, e.PlusMinus), e.Lab.Hex()
		if v.NextCoating == "" {
			v.NextCoating = r.Piece.Coatings[e.Coating].Name
		}
	}
	return v
}
