package report

import (
	"fmt"
	"math"
	"unicode/utf8"

	"huewright/blend/plan"
	"huewright/internal/workshop"
)

// whatIf says what comes of coats that somebody named, beside the plan's: how each area ends, how far each two are apart, and the grain.
func (p *page) whatIf(r *workshop.PlanResult) {
	if r.WhatIf == nil {
		return
	}
	yours, own := &r.WhatIf.Choice, &r.Choices[0]
	p.line("")
	p.wrapped("", p.say("answer.what-if", "seen", seen(yours.Worst.Median), "figure", "ΔE00 "+spread(yours.Worst), "plan", own.Worst.Median))
	rows := []beside{{"", p.say("answer.what-if-yours"), p.say("answer.what-if-plan")}}
	one := plannedCoatings(r) == 1
	for i := range yours.Areas {
		y, o := &yours.Areas[i], &own.Areas[i]
		rows = append(rows, beside{y.Name, p.coatsAndGrain(y, one, true), p.coatsAndGrain(o, one, false)})
		if y.ToTarget {
			rows = append(rows, beside{" " + p.say("answer.what-if-target"), p.endWith(y.After), p.end(o.After)})
		}
		if y.PartOf != "" { // touched up first
			rows = append(rows, beside{" " + p.say("answer.what-if-from", "area", y.PartOf), p.endWith(y.After), p.end(o.After)})
		}
		for k := range yours.Pairs {
			if pair := &yours.Pairs[k]; pair.Areas[0] == y.Name {
				rows = append(rows, beside{" " + p.say("answer.what-if-from", "area", pair.Areas[1]), p.endWith(pair.After), p.end(own.Pairs[k].After)})
			}
		}
	}
	p.besides(rows, func(r beside) string { return p.say("answer.what-if-row", "yours", r.first, "own", r.second) })
}

// A beside is two things that are told side by side, of what label says.
type beside struct{ label, first, second string }

// besides writes rows in columns, the first over them, or, where the screen has no room, each as inLine says it.
func (p *page) besides(rows []beside, inLine func(beside) string) {
	label := longest(rows, func(r beside) string { return r.label })
	first := longest(rows, func(r beside) string { return r.first })
	second := longest(rows, func(r beside) string { return r.second })
	if 2+label+2+first+2+second <= p.width() {
		for _, r := range rows {
			p.line("  %s  %s  %s", pad(r.label, label), pad(r.first, first), r.second)
		}
		return
	}
	for _, r := range rows[1:] {
		lead := "  " + r.label + ": "
		p.hangingAt(lead, utf8.RuneCountInString(lead), 6, inLine(r))
	}
}

// coatsAndGrain are the coats of an area and what they leave of its grain, in a word too where there is room for it.
func (s Style) coatsAndGrain(a *plan.AreaPlan, one, word bool) string {
	kept, class := a.Grain, grainClass(a.Grain)
	if coatsIn(a.Coats) == 0 || math.IsNaN(kept) {
		kept, class = 0, ""
	}
	if !word {
		has := ""
		if class != "" {
			has = "yes"
		}
		return s.say("answer.what-if-own", "coats", s.countedOnly(a.Coats, one), "grain", has, "kept", kept)
	}
	return s.say("answer.what-if-area", "coats", s.countedOnly(a.Coats, one), "grain", class, "kept", kept)
}

// end is a difference and how visible it is.
func (s Style) end(d plan.Spread) string {
	return s.say("answer.what-if-end", "figure", fmt.Sprintf("%.1f", d.Median), "seen", seen(d.Median))
}

// endWith is the same with its range.
func (s Style) endWith(d plan.Spread) string {
	return s.say("answer.what-if-end", "figure", fmt.Sprintf("%.1f (%.1f–%.1f)", d.Median, d.Low, d.High), "seen", seen(d.Median))
}

// asAsked says, where a result shows somebody's coats, which the plan suggests instead; else "".
func (s Style) asAsked(r *workshop.PlanResult) string {
	if r.Suggested == nil {
		return ""
	}
	return s.say("answer.what-if-shown", "areas", s.choiceAreas(r, r.Suggested))
}
