package report

import (
	"huewright/blend/plan"
	"huewright/colour"
	"huewright/internal/words"
	"huewright/internal/workshop"
)

// The classes of how far a coat hides, as a contrast ratio, each up to its most. Our own choice.
const (
	mostClear  = 0.10
	mostCloudy = 0.30
)

// atArmsLength is the step of visibility from which another coating is looked for; see plan.Ideal.
const atArmsLength = 3

func hidingClass(ratio float64) string {
	switch {
	case ratio < mostClear:
		return "clear"
	case ratio < mostCloudy:
		return "cloudy"
	}
	return "hides"
}

// IdealWords say what coating is missing; "" where the shelf does it, or no colour would do better.
func (s Style) IdealWords(r *workshop.PlanResult) string {
	id := r.Ideal
	if id == nil || !id.Helps {
		return ""
	}
	hiding, tint, on := hidingClass(id.Hiding), colour.Name(id.Tint), s.the(id.On)
	if !s.Full && s.Voice == words.Terminal {
		return s.say("plan.ideal-short", "hiding", hiding, "tint", tint, "on", on) // a swatch stands before it
	}
	return s.say("plan.ideal", "hiding", hiding, "tint", tint, "on", on, "lab", inLine(id.OneCoat), "hex", id.OneCoat.Hex())
}

// ideal says what is missing, after a swatch of it.
func (p *page) ideal(r *workshop.PlanResult) {
	if text := p.IdealWords(r); text != "" {
		p.hanging(swatch(r.Ideal.OneCoat)+" ", swatchWidth+1, text)
	}
}

// idealDetails say what the missing coating would do, or that none is missing.
func (p *page) idealDetails(r *workshop.PlanResult) {
	id := r.Ideal
	if id == nil && plan.Visibility(r.Choices[0].Worst.Median) >= atArmsLength {
		return // the counts are given
	}
	p.line("")
	switch {
	case id == nil:
		p.wrapped("  ", p.say("plan.ideal-none-needed"))
		return
	case !id.Helps:
		p.wrapped("  ", p.say("plan.ideal-no-help"))
		return
	}
	var areas []string
	for _, a := range id.Areas {
		coats := plan.CoatCount{Count: a.Coats, Range: [2]int{a.Coats, a.Coats}}
		areas = append(areas, p.say("answer.choice-area", "area", a.Name, "coats", p.coat(coats, "")))
	}
	end := "darkest"
	if a := r.Named(id.On); a != nil && a.Plan.ToTarget {
		end = "target"
	}
	does := p.say("plan.ideal-does", "areas", areas, "leaves", id.Leaves, "end", end)
	p.wrapped("  ", sentences(does, p.say("plan.ideal-width", "width", id.Width)))
}

type idealJSON struct {
	On      string          `json:"on"`       // the palest area
	OneCoat [3]num          `json:"one_coat"` // of one coat on it, as it is measured then
	Hex     string          `json:"hex"`
	Name    string          `json:"name"`
	Hiding  num             `json:"hiding"` // contrast ratio of one coat, 0–1
	Areas   []idealAreaJSON `json:"areas"`
	End     [3]num          `json:"end"` // the target or, without one, the darkest area, as it will be seen
	Leaves  num             `json:"leaves"`
	Without num             `json:"without"` // the same as the areas are
	Width   num             `json:"width"`   // ΔE00 about one_coat within which others do as well
	Helps   bool            `json:"helps"`   // it leaves clearly less than the suggested plan
}

type idealAreaJSON struct {
	Name   string `json:"name"`
	Coats  int    `json:"coats"`
	DeltaE num    `json:"delta_e"` // from the end
	Grain  num    `json:"grain"`
}

func idealOf(id *plan.IdealCoating) *idealJSON {
	if id == nil {
		return nil
	}
	return &idealJSON{
		On: id.On, OneCoat: triple(id.OneCoat), Hex: id.OneCoat.Hex(), Name: words.Speaker{}.Say(colour.Name(id.Tint)),
		Hiding: num(id.Hiding), Areas: idealAreasOf(id.Areas), End: triple(id.End), Leaves: num(id.Leaves), Without: num(id.Without),
		Width: num(id.Width), Helps: id.Helps,
	}
}

func idealAreasOf(areas []plan.IdealArea) []idealAreaJSON {
	all := []idealAreaJSON{}
	for _, a := range areas {
		all = append(all, idealAreaJSON{a.Name, a.Coats, num(a.DeltaE), num(a.Grain)})
	}
	return all
}
