package report

import (
	"fmt"
	"io"

	"huewright/blend/plan"
	"huewright/internal/workshop"
)

// A Demo is a plan on a drawn piece, whose truth is known.
type Demo struct {
	Plan *workshop.PlanResult
	Hard bool    // its target cannot be had
	Off  float64 // ΔE00: the furthest that two areas, or an area and its target where it is hard, truly end apart under the plan's coats
	Next string  // what to do next
}

// DemoText writes a demo for a terminal, in twenty lines: the coats of each area, how far apart the areas are before and after, or how far
// from their target, what stands in the way, how sure all of it is, and the truth.
func (s Style) DemoText(w io.Writer, d *Demo) error {
	r := d.Plan
	p := page{Style: s.Of(&r.Piece)}
	p.wrapped("", p.heading(r))
	p.line("")
	p.counts(r)
	p.line("")
	p.beforeAndAfter(d)
	truth := p.say("demo.truth", "off", d.Off)
	if worst := worstToTarget(r); d.Hard && worst != nil && len(worst.Why) > 0 {
		truth = p.say("demo.truth-hard", "off", d.Off)
		why := p.Warnings(worst.Why)
		p.wrapped("", sentences(p.say("demo.hard", "area", worst.Name), why[0], why[len(why)-1])) // what is left over, and what would help
	}
	p.wrapped("", sentences(p.grains(r), p.stops(r)))
	p.wrapped("", sentences(p.planCertainty(r), truth))
	p.wrapped("", d.Next)
	return p.writeTo(w)
}

// beforeAndAfter says of each two areas how far apart they are now and then, or of each area how far it is from a target that is hard.
func (p *page) beforeAndAfter(d *Demo) {
	first := &d.Plan.Choices[0]
	rows := []beside{{"", p.say("demo.now"), p.say("demo.then")}}
	add := func(label string, before, after plan.Spread) {
		rows = append(rows, beside{label, fmt.Sprintf("%.1f", before.Median), p.endWith(after)})
	}
	if d.Hard {
		for i := range first.Areas {
			a := &first.Areas[i]
			add(p.say("demo.to-target", "area", a.Name), a.Before, a.After)
		}
	} else {
		for i := range first.Pairs {
			pair := &first.Pairs[i]
			add(p.say("demo.pair", "areas", pair.Areas[:]), pair.Before, pair.After)
		}
	}
	p.besides(rows, func(r beside) string { return p.say("demo.row", "now", r.first, "then", r.second) })
}
