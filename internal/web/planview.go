package web

import (
	"cmp"
	"encoding/json"
	"html/template"
	"slices"
	"strings"
	"time"

	"huewright/blend/plan"
	"huewright/internal/report"
	"huewright/internal/report/card"
	"huewright/internal/report/picture"
	"huewright/internal/workshop"
)

// A planView is a plan as a page shows it.
type planView struct {
	Outdated string // why it is out of date; "" where it is not
	Made     time.Time
	Stored   []string // what the log has of it, where Fault says why there is nothing else to show
	Fault    string
	Warnings []string
	Headline string // the counts, in a line
	Wide     bool   // the counts are known so badly that a test coat comes first
	Areas    []areaPlanView
	Apart    []string // how far areas are apart then, the furthest first
	Short    []string // areas that the coatings do not bring to their target
	Choices  []string // other ways to colour the piece
	Lamp     string   // how far then by a warm lamp
	Pictured []picturedChoice
	Chosen   bool // it is not the suggested one
	Mixes    []string
	Tests    []string
	Habit    string
	Earlier  []string
	Photos   []previewed
	Key      string // changes when the plan does: browsers then ask anew
	Text     string // all of it, as the terminal has it
	Schedule *scheduleView
}

// A picturedChoice is another way to colour the piece, with a picture of it.
type picturedChoice struct {
	previewed
	Number    int // of the plan's choices
	Says      string
	Coats     string // by which it is asked for
	Suggested bool   // it was put forward first, and another was chosen
}

// A previewed photo has the size of the photo itself, so that its place on the page is known before the picture comes.
type previewed struct {
	Name          string
	Width, Height int
}

// An areaPlanView is the plan of one area: as its card has it, and what a page shows beside that.
type areaPlanView struct {
	card.Area
	Chart        template.HTML
	Why          string // the target is out of reach; "" where it is not
	Laid         []string
	NextCoating  string
	LaidSoFar    int
	NeedsNoCoats bool
	LadderWidth  int    // the same for all areas, so that more coats are seen to be more
	Rungs        []rung // as it is, and after each coat
	Total, Stop1 int    // coats of the plan; that after which to stop and look
	Aim          string // the colour that it is to come to
	Mix          string // of the next coating
	On           coatsOn
	Dry          time.Time     // when the next coat may go on; zero where none is on, or nothing is known
	Due          string        // what comes at the bench: "coat", "look" at it, or "stop"
	Measured     *laidView     // the last coats that were measured
	Care         *card.Caution // what matters most while the next coat is laid; nil for nothing
}

// A rung is the colour of an area after some coats.
type rung struct {
	Hex, Name string
	Coats     int
}

// A laidView is what was predicted of coats, and what was measured.
type laidView struct{ Predicted, Measured, Says string }

type scheduleView struct {
	Days     []benchDay
	Ready    string
	Warnings []string
	First    string // before all cautions
	Matters  []card.Caution
}

// planView is a plan on the page of its piece. Where the card cannot be made, it says why among its warnings.
func (s *Server) planView(d *pieceDraft, m *shownPlan) *planView {
	says := speakerOf(d)
	if m.cachedPlan == nil {
		return &planView{Outdated: says.Say(m.outdated), Made: m.at, Stored: m.stored, Fault: faultWords(says, m.fault)}
	}
	r := m.result
	said := report.Style{Speaker: says}
	full := said
	full.Full, full.Width, full.Plain = true, phoneColumns, false
	v := &planView{
		Outdated: says.Say(m.outdated), Made: m.at, Warnings: says.Warnings(r.Warnings),
		Key: m.key.short(), Chosen: r.Chosen,
	}
	for _, name := range m.preview.Photos() {
		look := d.Photos[name]
		v.Photos = append(v.Photos, previewed{name, look.Width, look.Height})
	}
	var text strings.Builder
	if err := full.PlanText(&text, r); err == nil {
		v.Text = withoutEscapes(text.String())
	}
	whole, schedule, err := s.scheduled(d, m)
	if err != nil {
		v.Warnings = append(v.Warnings, faultWords(says, err))
		return v
	}
	sheet := report.CardWords(whole, schedule, "", s.now())
	for _, m := range sheet.Mixes {
		v.Mixes = append(v.Mixes, m.String())
	}
	v.Schedule = &scheduleView{
		Days: benchDays(d, sheet.Days, m.result.StepKeys(schedule)), Ready: sheet.Ready, First: sheet.First, Matters: sheet.Matters,
		Warnings: says.Warnings(schedule.Warnings),
	}
	v.say(said, r)
	for i := range r.Areas {
		a := areaPlanViewOf(said, r, &r.Areas[i], sheet.Areas[i])
		if slices.Contains(v.Apart, a.Left) {
			a.Left = "" // it stands above
		}
		if a.Why != "" && plan.Visibility(r.Areas[i].Plan.After.Median) > sideBySide {
			v.Short = append(v.Short, a.Name)
		}
		a.atTheBench(r, d.On[a.Name], schedule)
		a.laying(said, r, schedule, sheet.Mixes)
		v.Areas = append(v.Areas, a)
	}
	v.alignLadders()
	v.Headline = isolated(v.Headline, d.Piece.Areas)
	for _, sentences := range [][]string{v.Apart, v.Choices} {
		for i := range sentences {
			sentences[i] = isolated(sentences[i], d.Piece.Areas)
		}
	}
	v.picture(r)
	return v
}

// say puts into words what a plan says of the whole piece.
func (v *planView) say(said report.Style, r *workshop.PlanResult) {
	if r.Pieces > 0 {
		v.Habit = said.BiasWords(r.Bias.Film, r.Bias.Wider, r.Pieces)
	}
	for i := range r.Earlier {
		v.Earlier = append(v.Earlier, r.Earlier[i].Coating+": "+said.EarlierWords(&r.Earlier[i]))
	}
	for i := range r.Tests {
		v.Tests = append(v.Tests, said.TestWords(&r.Tests[i]))
	}
	pairs := slices.SortedStableFunc(slices.Values(r.Choices[0].Pairs), func(a, b plan.Pair) int {
		return cmp.Compare(b.After.Median, a.After.Median)
	})
	for i := range pairs {
		v.Apart = append(v.Apart, said.PairWords(r, &pairs[i]))
	}
	v.Headline, v.Lamp, v.Choices = said.HeadlineWords(r), said.LampWords(r), said.ChoiceWords(r)
	v.Wide = len(r.Tests) > 0 && wide(r)
}

// alignLadders gives all ladders the same width.
func (v *planView) alignLadders() {
	widest := 0
	for i := range v.Areas {
		widest = max(widest, len(v.Areas[i].Rungs))
	}
	for i := range v.Areas {
		v.Areas[i].LadderWidth = widest*(rungWide+rungGap) + stopWide
	}
}

// laying says what is to be known while the next coat is laid: the worst danger, and what to mix.
func (a *areaPlanView) laying(said report.Style, r *workshop.PlanResult, schedule *workshop.Schedule, mixes []card.Mix) {
	if danger, text := said.CoatCaution(schedule.Laying(r, a.NextCoating)); danger != "" {
		a.Care = &card.Caution{Key: danger, Text: text}
	}
	for _, m := range mixes {
		if m.Coating == a.NextCoating {
			a.Mix = m.String()
		}
	}
}

// sideBySide is the step of plan.Visibility of a difference that is seen side by side and no further off.
const sideBySide = 2

// wideRange is how many coats apart the ends of a range are from which on a test coat is worth more than the count. Our own choice.
const wideRange = 2

func wide(r *workshop.PlanResult) bool {
	for i := range r.Areas {
		for _, k := range r.Areas[i].Plan.Coats {
			if k.Range[1]-k.Range[0] >= wideRange {
				return true
			}
		}
	}
	return false
}

// A stopView is where to stop and look, on areas where that is the same.
type stopView struct {
	Areas []string
	Says  string
}

// Stops are where to stop and look.
func (v *planView) Stops() (all []stopView) {
	for i := range v.Areas {
		a := &v.Areas[i]
		at := slices.IndexFunc(all, func(s stopView) bool { return s.Says == a.Stop })
		switch {
		case a.Stop == "":
		case at >= 0:
			all[at].Areas = append(all[at].Areas, a.Name)
		default:
			all = append(all, stopView{[]string{a.Name}, a.Stop})
		}
	}
	return all
}

// OffersSuggested reports whether the suggested plan stands among the others.
func (v *planView) OffersSuggested() bool {
	return slices.ContainsFunc(v.Pictured, func(c picturedChoice) bool { return c.Suggested })
}

// mostOthers is how many other plans are shown as cards. Our own choice: what a phone shows without losing the first.
const mostOthers = 3

// picture shows other choices on the first photo: those that differ, and then those that are as good.
func (v *planView) picture(r *workshop.PlanResult) {
	says := slices.Concat(v.Choices[min(len(r.AsGood), len(v.Choices)):], v.Choices[:min(len(r.AsGood), len(v.Choices))])
	for i := 1; i < len(r.Choices)+len(r.AsGood) && len(v.Photos) > 0 && len(v.Pictured) < mostOthers; i++ {
		if i < len(r.Choices) && r.Choices[i].Untouched() {
			continue
		}
		one := picturedChoice{previewed: v.Photos[0], Number: i, Says: says[0], Suggested: r.Chosen && i == 1}
		says = says[1:]
		if !one.Suggested { // that one is asked for by naming none
			coats, err := json.Marshal(r.ChosenCoats(i))
			if err != nil {
				panic(err) // plain data
			}
			one.Coats = string(coats)
		}
		v.Pictured = append(v.Pictured, one)
	}
}

func areaPlanViewOf(said report.Style, r *workshop.PlanResult, a *workshop.AreaPlan, on card.Area) areaPlanView {
	on.Coats = strings.TrimSuffix(on.Coats, ".")
	v := areaPlanView{
		Area: on, Chart: template.HTML(picture.Plan(r, a)), // of our own making: names in it are escaped
		Laid: said.LaidWords(a), LaidSoFar: a.LaidCoats(), NeedsNoCoats: a.Planned() == 0,
	}
	if a.Plan.ToTarget && !a.Plan.Reachable {
		v.Why = strings.Join(said.Warnings(a.Plan.Why), " ")
	}
	v.Stop1, v.Aim = a.Plan.StopAfter, a.Plan.Aim.Hex()
	for _, step := range a.Plan.Path {
		v.Rungs = append(v.Rungs, rung{Hex: step.Lab.Hex(), Name: step.Coating, Coats: step.Coats})
	}
	v.Total = len(v.Rungs) - 1
	if n := len(a.Laid); n > 0 && len(v.Laid) > 0 {
		p := &a.Laid[n-1].Prediction
		v.Measured = &laidView{Predicted: p.Predicted.Hex(), Measured: p.Measured.Hex(), Says: v.Laid[len(v.Laid)-1]}
	}
	return v
}

// atTheBench says how far the work on an area has come.
func (v *areaPlanView) atTheBench(r *workshop.PlanResult, on coatsOn, s *workshop.Schedule) {
	v.On = on
	if wait := s.DryAfter(r, on.Coating); on.Coats > 0 && wait > 0 {
		v.Dry = on.At.Add(wait)
	}
	switch {
	case v.Total == 0:
		v.Due = "stop"
	case on.Coats >= v.Stop1 && on.Coats > 0:
		v.Due = "look"
	default:
		v.Due = "coat"
	}
	laid := 0
	for _, k := range r.Named(v.Name).Plan.Coats {
		if laid += k.Count; laid > on.Coats {
			v.NextCoating = k.Coating
			break
		}
	}
}

// A bar is a part of a ladder: the colour after a coat, or the mark where to stop.
type bar struct {
	X, Wide int
	Hex     string
	Stop    bool
}

const (
	rungWide, rungGap = 40, 3 // of a ladder, in its own units
	stopWide          = 8
)

// Bars are the ladder of an area: as it is, then a bar a coat, and a black one where to stop and look.
func (v *areaPlanView) Bars() (bars []bar) {
	x := 0
	for i, r := range v.Rungs {
		bars = append(bars, bar{X: x, Wide: rungWide, Hex: r.Hex})
		x += rungWide + rungGap
		if i == v.Stop1 {
			bars = append(bars, bar{X: x, Wide: stopWide, Hex: "#000", Stop: true})
			x += stopWide + rungGap
		}
	}
	return bars
}

// HereX is where on its ladder an area stands.
func (v *areaPlanView) HereX() int {
	x := v.On.Coats*(rungWide+rungGap) + rungWide/2
	if v.On.Coats > v.Stop1 {
		x += stopWide + rungGap
	}
	return x
}

// NextOrLast is the coating that comes, or the last one where no more is planned.
func (v *areaPlanView) NextOrLast() string {
	if v.NextCoating != "" || len(v.Rungs) == 0 {
		return v.NextCoating
	}
	return v.Rungs[len(v.Rungs)-1].Name
}

// Coat is the number of the coat that comes, of All that the area then has had.
func (v *areaPlanView) Coat() int { return v.LaidSoFar + v.On.Coats + 1 }

// All is how many coats the area has when the plan is done.
func (v *areaPlanView) All() int { return v.LaidSoFar + v.Total }

// Is and Becomes are the colours of the area under the coats that are on, and after the next.
func (v *areaPlanView) Is() string { return v.Rungs[min(v.On.Coats, v.Total)].Hex }

// Becomes is the colour of the area after the next coat.
func (v *areaPlanView) Becomes() string { return v.Rungs[min(v.On.Coats+1, v.Total)].Hex }

// Waits reports whether the last coat is not dry yet.
func (v *areaPlanView) Waits(now time.Time) bool { return v.Dry.After(now) }
