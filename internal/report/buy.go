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
	does := p.say("plan.ideal-does", "areas", p.idealAreas(id.Areas), "leaves", id.Leaves, "end", endOf(r, id.On))
	p.wrapped("  ", sentences(does, p.say("plan.ideal-width", "width", id.Width)))
}

// shownCandidates is how many of the colours that might be bought a text tells of.
const shownCandidates = 3

// CandidateWords say which of the colours that might be bought come nearest.
func (s Style) CandidateWords(r *workshop.PlanResult) (all []string) {
	c := r.Candidates
	switch {
	case c == nil:
		return nil
	case c.None:
		return []string{s.say("swatch.none")}
	}
	for i := range c.Ranked[:min(shownCandidates, len(c.Ranked))] {
		k := &c.Ranked[i]
		areas := s.idealAreas(k.Areas)
		if i > 0 {
			all = append(all, s.say("swatch.next", "name", k.Name, "areas", areas, "leaves", k.Leaves))
			continue
		}
		all = append(all, s.say("swatch.best", "name", k.Name, "areas", areas, "leaves", k.Leaves, "end", endOf(r, c.On), "on", s.the(c.On),
			"hex", k.OneCoat.Hex()))
	}
	return all
}

// candidates says which of the colours that might be bought come nearest, each after its swatch.
func (p *page) candidates(r *workshop.PlanResult) {
	said := p.CandidateWords(r)
	for i, text := range said {
		if r.Candidates.None {
			p.wrapped("", text)
			return
		}
		p.hanging(swatch(r.Candidates.Ranked[i].Chip)+" ", swatchWidth+1, text)
	}
	if len(said) > 1 {
		p.wrapped("", p.say("swatch.test"))
	}
}

// idealAreas are the coats on each area: "frame 2 coats".
func (s Style) idealAreas(all []plan.IdealArea) (areas []string) {
	for _, a := range all {
		coats := plan.CoatCount{Count: a.Coats, Range: [2]int{a.Coats, a.Coats}}
		areas = append(areas, s.say("answer.choice-area", "areas", []string{a.Name}, "coats", s.coat(coats, "")))
	}
	return areas
}

// endOf is what an area is to come to, as the catalogue's sentences select it.
func endOf(r *workshop.PlanResult, area string) string {
	if a := r.Named(area); a != nil && a.Plan.ToTarget {
		return "target"
	}
	return "darkest"
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

// candidatesJSON are colours that might be bought.
type candidatesJSON struct {
	On      string          `json:"on"`             // the palest area
	None    bool            `json:"none"`           // none does better than what is on the shelf, or than no coat
	Nearest string          `json:"nearest_middle"` // the one whose colour is nearest the middle of the areas', which people pick by eye
	Ranked  []candidateJSON `json:"ranked"`         // the best first
}

type candidateJSON struct {
	Name    string          `json:"name"`
	Lab     [3]num          `json:"lab"`      // where nothing shows through
	Hiding  *num            `json:"hiding"`   // contrast ratio of one coat as it comes, 0–1; null where it is not known
	OneCoat [3]num          `json:"one_coat"` // of one coat of it on the palest area, thinned as it does best
	Areas   []idealAreaJSON `json:"areas"`
	Leaves  num             `json:"leaves"` // ΔE00 from the target or, without one, the darkest area
	Value   num             `json:"value"`  // what is minimised, ΔE00
}

func candidatesOf(c *plan.Candidates) *candidatesJSON {
	if c == nil {
		return nil
	}
	out := &candidatesJSON{On: c.On, None: c.None, Nearest: c.Nearest, Ranked: []candidateJSON{}}
	for _, k := range c.Ranked {
		one := candidateJSON{Name: k.Name, Lab: triple(k.Chip), OneCoat: triple(k.OneCoat), Areas: idealAreasOf(k.Areas), Leaves: num(k.Leaves),
			Value: num(k.Value)}
		if k.Hiding > 0 {
			one.Hiding = new(num(k.Hiding))
		}
		out.Ranked = append(out.Ranked, one)
	}
	return out
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
