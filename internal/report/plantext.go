package report

import (
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"huewright/blend/plan"
	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// PlanText writes a plan for a terminal: the answer, and with Full all that it stands on.
func (s Style) PlanText(w io.Writer, r *workshop.PlanResult) error {
	if s.Quiet {
		return s.quietPlan(w, r)
	}
	p := s.shortPlan(r)
	p.whatIf(r)
	return p.writeTo(w)
}

// A brevity is how much a short plan leaves out, so that it is short: each leaves out what those before it do.
type brevity int

const (
	everything  brevity = iota
	noSameLamp          // no word of a lamp under which nothing is seen better than by day
	noTargetToo         // nor of a target beside two areas
	noOther             // nor of another choice
	noMissing           // nor of what could be bought
	noLamp              // nor of any lamp
	noBlank             // and has no blank lines
	runOn               // and what follows the counts is written in one go
	briefest    = runOn
)

// shortPlan is a plan with so much left out that it is short; the whole of it where nothing makes it so, or where it is asked for.
func (s Style) shortPlan(r *workshop.PlanResult) *page {
	for b := everything; !s.Full && b <= briefest; b++ {
		if p := s.planPage(r, b); strings.Count(p.String(), "\n") <= p.mostLines() {
			return p
		}
	}
	return s.planPage(r, everything)
}

// mostLines is how many lines a plan takes at most, where it can, on a screen as wide as is usual; a narrow one has more of them.
func (p *page) mostLines() int { return 20 * UsualWidth / p.width() }

// planPage is a plan without what somebody would lay instead.
func (s Style) planPage(r *workshop.PlanResult, b brevity) *page {
	p := &page{Style: s.Of(&r.Piece), brevity: b}
	blank := func() {
		if b < noBlank {
			p.line("")
		}
	}
	p.wrapped("", p.heading(r))
	p.endRun()
	blank()
	if !p.Full { // coatings stand in the heading
		p.shorten(coatingNames(r))
	}
	p.counts(r)
	blank()
	if !p.Full { // and areas before their counts
		p.shorten(append(coatingNames(r), areaNames(r)...))
	}
	for i := range r.TouchUps {
		p.wrapped("", p.TouchUpWords(&r.TouchUps[i]))
	}
	p.wrapped("", p.stops(r))
	if !p.Full {
		p.lastLaid(r)
	}
	p.ends(r)
	if b < noMissing {
		p.ideal(r)
	}
	p.candidates(r)
	for _, drift := range p.All(r.Drift()) {
		p.wrapped("", drift)
	}
	p.wayThere(r)
	p.planWarnings(r)
	if p.Full {
		p.planDetails(r)
	} else {
		p.wrapped("", p.say("answer.more"))
	}
	p.endRun()
	return p
}

// coatingNames are the coatings that a plan is headed by.
func coatingNames(r *workshop.PlanResult) (names []string) {
	for i := range r.Coatings {
		if !r.Piece.ForTouchingUp(&r.Piece.Coatings[i]) {
			names = append(names, r.Coatings[i].Coating.Name)
		}
	}
	return names
}

// areaNames are the areas that counts are told of.
func areaNames(r *workshop.PlanResult) (names []string) {
	for i := range r.Areas {
		names = append(names, plainName(r.Areas[i].Area.Name))
	}
	return names
}

// heading is the piece with its coatings.
func (s Style) heading(r *workshop.PlanResult) string {
	var shelf []string
	for i := range r.Coatings {
		if r.Piece.ForTouchingUp(&r.Piece.Coatings[i]) {
			continue
		}
		d := s.dilution(&r.Piece.Coatings[i])
		if plannedCoatings(r) == 1 {
			shelf = append(shelf, joined(", ", r.Coatings[i].Coating.Name, d))
		} else {
			shelf = append(shelf, r.Coatings[i].Coating.Name+" ("+d+")")
		}
	}
	return joined(": ", r.Piece.Name, strings.Join(shelf, ", "))
}

// mostName is how wide a name stands before what is said of its area. A longer one stands over it.
const mostName = 20

// counts says of each area how many coats it gets.
func (p *page) counts(r *workshop.PlanResult) {
	name := longest(r.Areas, func(a workshop.AreaPlan) string { return a.Area.Name })
	for i := range r.Areas {
		a := &r.Areas[i]
		if r.WithWood(a) {
			continue
		}
		p.wrapped("  "+pad(a.Area.Name, min(name, mostName))+"  ", joined(", ", p.counted(a.Plan.Coats, plannedCoatings(r) == 1), p.alsoOn(r, a)))
	}
}

// shortChoices is how many other choices stand in a short text.
const shortChoices = 1

// ends says how visible the differences are after the coats, between areas and beside targets, and what is left of the grain.
func (p *page) ends(r *workshop.PlanResult) {
	var said []string
	var between []fault.Note // what lies between two coatings that must not touch
	for i := range r.Areas {
		between = append(between, r.Areas[i].Plan.Between...)
	}
	p.wrapped("", sentences(p.Warnings(fault.Once(between))...))
	pair, worst := worstPair(&r.Choices[0], ""), worstToTarget(r)
	if pair != nil {
		said = append(said, p.PairWords(r, pair))
	}
	for i := range r.Areas {
		a := r.Areas[i].Plan
		switch {
		case !a.ToTarget:
		case pair == nil:
			said = append(said, p.leftAfter(r, p.the(a.Name), a))
		case p.brevity >= noTargetToo:
		case a == worst: // the one that is furthest off tells enough beside a pair
			said = append(said, p.leftToo(r, pair, a))
		}
	}
	if worst := p.worstByLamp(r); p.brevity < noLamp && (p.brevity < noSameLamp || worst != nil && worst.breaks()) {
		said = append(said, p.LampWords(r))
	}
	p.wrapped("", sentences(append(said, p.grains(r))...))
	choices := p.ChoiceWords(r)
	switch {
	case p.brevity >= noOther:
		choices = nil
	case !p.Full:
		choices = choices[:min(shortChoices, len(choices))]
	}
	for _, text := range choices {
		p.wrapped("", text)
	}
	if r.Finished {
		p.wrapped("", p.say("answer.finished"))
	}
}

// worstPair are the two areas of a choice that differ most then, one of them an area where it is named; nil where none are to look alike.
func worstPair(c *plan.Choice, area string) (worst *plan.Pair) {
	for i := range c.Pairs {
		p := &c.Pairs[i]
		if (area == "" || slices.Contains(p.Areas[:], area)) && (worst == nil || p.After.Median > worst.After.Median) {
			worst = p
		}
	}
	return worst
}

// worstToTarget is the area that ends furthest from its target; nil where none has one.
func worstToTarget(r *workshop.PlanResult) (worst *plan.AreaPlan) {
	for i := range r.Areas {
		if a := r.Areas[i].Plan; a.ToTarget && (worst == nil || a.After.Median > worst.After.Median) {
			worst = a
		}
	}
	return worst
}

// grains says what is left of the grain of each area that gets coats, in one figure where they are alike.
func (s Style) grains(r *workshop.PlanResult) string {
	var areas []string
	alike, least := "", math.NaN()
	for i := range r.Areas {
		a := r.Areas[i].Plan
		class := grainClass(a.Grain)
		if class == "" || coatsIn(a.Coats) == 0 {
			continue
		}
		if len(areas) > 0 && class != alike {
			alike = "no"
		} else {
			alike = class
		}
		if !(a.Grain >= least) {
			least = a.Grain
		}
		areas = append(areas, s.say("answer.grain-area", "area", a.Name, "grain", class, "kept", a.Grain))
	}
	switch {
	case len(areas) == 0:
		return ""
	case alike != "no":
		return s.grain(least)
	}
	return s.say("answer.grains", "areas", areas)
}

// leftAfter says how visible the difference between an area, who, and its target is after the suggested coats.
func (s Style) leftAfter(r *workshop.PlanResult, who string, a *plan.AreaPlan) string {
	n, after := coatsIn(a.Coats), a.After.Median
	class, how := seen(after), leftOver(a)
	switch {
	case n == 0 && leftOut(&r.Piece, a.Name) && how != "":
		return sentences(s.say("answer.left-out", "who", who), s.say("answer.stays", "who", s.say("answer.it"), "seen", class, "how", how,
			"figure", deltaE(after)))
	case n == 0 && a.Reachable && class == "close":
		return s.say("answer.near", "who", who, "figure", deltaE(after))
	case n == 0 && how == "":
		return s.say("answer.now", "who", who, "seen", class, "figure", deltaE(after))
	case n == 0 && coatedElsewhere(r, a.Name):
		return s.say("answer.stays", "who", who, "seen", class, "how", how, "figure", deltaE(after)) // what comes closer costs too much
	case n == 0:
		return s.say("answer.as-now", "who", who, "seen", class, "how", how, "figure", deltaE(after))
	case how == "":
		return s.say("answer.then-somehow", "who", who, "seen", class, "figure", fromTo(after, a.Before.Median))
	}
	return s.say("answer.then", "who", who, "seen", class, "how", how, "figure", fromTo(after, a.Before.Median))
}

// leftToo is the same after a sentence about a pair, without saying twice from where a difference is seen.
func (s Style) leftToo(r *workshop.PlanResult, pair *plan.Pair, a *plan.AreaPlan) string {
	class, how := seen(a.After.Median), leftOver(a)
	if class != seen(pair.After.Median) || coatsIn(a.Coats) == 0 || how == "" && class != "pass" {
		return s.leftAfter(r, s.the(a.Name), a)
	}
	return s.say("answer.then-too", "area", plainName(a.Name), "seen", class, "how", how, "figure", fromTo(a.After.Median, a.Before.Median))
}

// leftOver says how an area then differs from its target; "" where nobody sees it.
func leftOver(a *plan.AreaPlan) string { return differs(a.Aim, a.Path[len(a.Path)-1].Lab) }

// leftOut reports whether the layers of a piece leave an area out.
func leftOut(p *piece.Piece, area string) bool {
	return len(p.Layers) > 0 && !slices.ContainsFunc(p.Layers,
		func(l piece.Layer) bool { return l.Names(area) })
}

// coatedElsewhere reports whether another choice lays coats on an area.
func coatedElsewhere(r *workshop.PlanResult, area string) bool {
	return slices.ContainsFunc(r.Choices[1:], func(c plan.Choice) bool {
		return slices.ContainsFunc(c.Areas, func(a plan.AreaPlan) bool { return a.Name == area && coatsIn(a.Coats) > 0 })
	})
}

// lastLaid holds the last coats on each area against what was predicted of them.
func (p *page) lastLaid(r *workshop.PlanResult) {
	for i := range r.Areas {
		if n := len(r.Areas[i].Laid); n > 0 {
			last := r.Areas[i].Laid[n-1]
			last.Causes = last.Causes[:min(1, len(last.Causes))]
			p.wrapped("", p.laid(p.the(r.Areas[i].Area.Name), &last))
		}
	}
}

// wayThere says what to mix, how long to wait, and how sure all of it is.
func (p *page) wayThere(r *workshop.PlanResult) {
	for i := range r.Batches {
		p.wrapped("", p.batch(r, &r.Batches[i]))
	}
	p.wrapped("", p.wait(r))
	p.wrapped("", p.planCertainty(r))
	switch {
	case p.Full:
	case len(r.Tests) > 0:
		p.wrapped("", p.TestWords(&r.Tests[0]))
	case wideRanges(r):
		p.wrapped("", p.NoTestWords(r))
	}
}

// stops says after which coat of which areas to stop and take a photo.
func (s Style) stops(r *workshop.PlanResult) string {
	areas := map[int][]string{} // that stop, by the coat after which they do
	single := false
	for i := range r.Areas {
		if r.WithWood(&r.Areas[i]) {
			continue
		}
		switch a := r.Areas[i].Plan; coatsIn(a.Coats) {
		case 0:
		case 1:
			single = true
		default:
			after := r.Areas[i].LaidCoats() + a.StopAfter
			areas[after] = append(areas[after], s.the(a.Name))
		}
	}
	switch {
	case len(areas) > 0:
		var stops []string
		for _, after := range slices.Backward(slices.Sorted(maps.Keys(areas))) {
			stops = append(stops, s.say("answer.stop-after", "after", after, "areas", areas[after]))
		}
		return s.say("answer.stop", "stops", stops)
	case single:
		return s.say("answer.stop-each")
	}
	return ""
}

// stopWords says after which of so many coats on one area to stop and look.
func (s Style) stopWords(after, coats int) string {
	if after < coats {
		return s.say("answer.stop-here", "after", after)
	}
	return s.say("answer.stop-each")
}

// wait is the least time between two coats, where the plan has two on one area and it is known.
func (s Style) wait(r *workshop.PlanResult) string {
	t, err := r.Schedule(time.Time{}, time.Unix(0, 0).UTC())
	if err != nil {
		return ""
	}
	last := map[string]time.Time{} // when an area got its last coat
	for i := range t.Steps {
		step := &t.Steps[i]
		if !step.Work.Coats() {
			continue
		}
		for _, area := range step.Areas {
			if at, coated := last[area]; coated && !step.Earliest.IsZero() {
				if step.Assumed {
					return s.say("answer.wait-unknown")
				}
				hours := step.Earliest.Sub(at).Hours()
				if s.Full {
					return s.say("answer.wait-source", "hours", hours, "source", step.WaitSource)
				}
				return s.say("answer.wait", "hours", hours)
			}
			last[area] = step.At
		}
	}
	return ""
}

// planCertainty says how sure the colours and the counts are.
func (s Style) planCertainty(r *workshop.PlanResult) string {
	most := 0.0
	for i := range r.Areas {
		path := r.Areas[i].Plan.Path
		most = max(most, path[len(path)-1].PlusMinus)
	}
	switch {
	case most == 0:
		return ""
	case len(r.Piece.Layers) > 0 && !slices.ContainsFunc(r.Piece.Layers, func(l piece.Layer) bool { _, given := l.Count(); return !given }):
		return s.say("answer.sure-colours", "plus-minus", most)
	}
	return s.say("answer.sure", "plus-minus", most)
}

// planWarnings are all warnings of a plan, each once.
func (p *page) planWarnings(r *workshop.PlanResult) {
	all := slices.Clone(r.Warnings)
	if !p.Full { // else they stand with what they are about
		for i := range r.Photos {
			all = append(all, of(r.Photos[i].Name, len(r.Photos), r.Photos[i].Calibration.Warnings)...)
		}
		for i := range r.Coatings {
			if r.Piece.ForTouchingUp(&r.Piece.Coatings[i]) {
				continue // how much a coat of it hides counts for nothing
			}
			all = append(all, of(r.Coatings[i].Coating.Name, len(r.Coatings), r.Coatings[i].Report.Warnings)...)
		}
	}
	p.warnings("", fault.Once(all))
}

// of are the warnings of one of n things by its name, where it could be mistaken for another.
func of(name string, n int, warnings []fault.Note) (all []fault.Note) {
	for _, w := range warnings {
		if n > 1 {
			w = w.In(fault.Place{Area: name})
		}
		all = append(all, w)
	}
	return all
}

// spread is a figure with what 80 of 100 samples say of it.
func spread(s plan.Spread) string {
	if s.High-s.Low < 0.05 || math.IsNaN(s.High-s.Low) {
		return fmt.Sprintf("%.1f", s.Median)
	}
	return fmt.Sprintf("%.1f (likely %.1f–%.1f)", s.Median, s.Low, s.High)
}
