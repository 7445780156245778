package report

import (
	"fmt"
	"math"
	"slices"
	"unicode/utf8"

	"huewright/blend/plan"
	"huewright/internal/workshop"
)

// whatIf says what comes of coats that somebody named, beside the plan's: how each area ends and what is left of its grain, a line for
// each, and which two areas are furthest apart then.
func (p *page) whatIf(r *workshop.PlanResult) {
	if r.WhatIf == nil {
		return
	}
	yours, own := &r.WhatIf.Choice, &r.Choices[0]
	p.line("")
	given := ""
	if areas := p.choiceAreas(r, yours, own); len(areas) > 0 {
		given = p.say("answer.what-if-given", "areas", areas)
	}
	p.wrapped("", sentences(given, p.say("answer.what-if", "seen", seen(yours.Worst.Median), "figure", "ΔE00 "+spread(yours.Worst),
		"plan", own.Worst.Median)))
	rows := []beside{{"", p.say("answer.what-if-yours"), p.say("answer.what-if-plan")}}
	for i := range yours.Areas {
		rows = append(rows, beside{yours.Areas[i].Name, p.areaEnd(&yours.Areas[i], true), p.areaEnd(&own.Areas[i], false)})
	}
	p.besides(rows, func(r beside) string { return p.say("answer.what-if-row", "yours", r.first, "own", r.second) })
	if pair := worstPair(yours, ""); pair != nil {
		after := slices.IndexFunc(own.Pairs, func(q plan.Pair) bool { return q.Areas == pair.Areas })
		p.wrapped("", p.say("answer.what-if-pair", "first", plainName(pair.Areas[0]), "second", plainName(pair.Areas[1]),
			"figure", "ΔE00 "+spread(pair.After), "plan", own.Pairs[after].After.Median))
	}
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

// areaEnd is how far an area ends from its target, a spot from its wood: with yours the range and what is left of the grain too. An area
// that only meets others has the grain alone.
func (s Style) areaEnd(a *plan.AreaPlan, yours bool) string {
	end, grain := "", ""
	if a.ToTarget || a.PartOf != "" {
		end = fmt.Sprintf("%.1f", a.After.Median)
		if yours {
			end = s.endWith(a.After)
		}
	}
	if (yours || end == "") && coatsIn(a.Coats) > 0 && !math.IsNaN(a.Grain) {
		grain = s.say("answer.what-if-grain", "kept", a.Grain)
	}
	return joined(", ", end, grain)
}

// endWith is a difference with its range, and how visible it is.
func (s Style) endWith(d plan.Spread) string {
	return s.say("answer.what-if-end", "figure", fmt.Sprintf("%.1f (%.1f–%.1f)", d.Median, d.Low, d.High), "seen", seen(d.Median))
}

// asAsked says, where a result shows somebody's coats, which the plan suggests instead; else "".
func (s Style) asAsked(r *workshop.PlanResult) string {
	if r.Suggested == nil {
		return ""
	}
	return s.say("answer.what-if-shown", "areas", s.choiceAreas(r, r.Suggested, nil))
}
