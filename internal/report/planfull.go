package report

import (
	"fmt"
	"math"
	"strings"

	"huewright/blend/plan"
	"huewright/blend/schedule"
	"huewright/colour"
	"huewright/internal/workshop"
)

// planDetails are all that a plan stands on, and what else could be done.
func (p *page) planDetails(r *workshop.PlanResult) {
	p.line("")
	for i := range r.Photos {
		photo := &r.Photos[i]
		p.wrapped("  "+photo.Name+": ", p.verdict(photo.Calibration.Verdict(), &photo.Calibration))
		p.calibration("  "+photo.Name+": ", &photo.Calibration)
	}
	p.agreements(r.Between)
	if r.Pieces > 0 {
		p.wrapped("  ", p.BiasWords(r.Bias.Film, r.Bias.Wider, r.Pieces))
	}
	for i, k := range r.Coatings {
		p.coating(k, p.dilution(&r.Piece.Coatings[i]), r.Piece.ForTouchingUp(&r.Piece.Coatings[i]), r.Earlier)
	}
	for i := range r.Areas {
		p.areaDetails(r, &r.Areas[i])
	}
	for i := range r.TouchUps {
		p.touchUpDetails(&r.TouchUps[i])
	}
	p.pairDetails(r)
	p.batchDetails(r)
	p.mixes(r)
	p.idealDetails(r)
	p.tests(r)
}

func (p *page) coating(k workshop.LearnedCoating, dilution string, touchUp bool, earlier []workshop.Earlier) {
	p.line("")
	p.wrapped("  ", fmt.Sprintf("%s (%s)", k.Coating.Name, joined(", ", string(k.Coating.Kind), string(k.Coating.PutOn), dilution)))
	if k.Limit.IsFinite() {
		p.colourRow("  "+p.say("answer.opaque"), 0, k.Limit, "")
	}
	for i := range earlier {
		if earlier[i].Coating == k.Coating.Name {
			p.wrapped("    ", p.EarlierWords(&earlier[i]))
		}
	}
	if !touchUp {
		p.warnings("    ", k.Report.Warnings)
	}
}

func (p *page) areaDetails(r *workshop.PlanResult, a *workshop.AreaPlan) {
	p.line("")
	p.wrapped("  ", p.title(&a.Area))
	p.readings(a.Views)
	for _, text := range p.LaidWords(a) {
		p.wrapped("    ", text)
	}
	if a.Plan.ToTarget {
		p.wrapped("    ", sentences(p.leftAfter(r, p.say("answer.it"), a.Plan), p.say("answer.within", "times", math.Round(100*a.Plan.Within))))
	}
	if a.Plan.ToTarget && !a.Plan.Reachable && len(a.Plan.Why) > 0 {
		p.wrapped("    ", sentences(append([]string{p.say("answer.unreachable")}, p.Warnings(a.Plan.Why)...)...))
	}
	p.steps(a.Plan.Path, a.Plan.OneMore)
	if a.Plan.ToTarget {
		p.stepLine("target", a.Plan.Aim, fmt.Sprintf("%5.1f", a.Target.PlusMinus))
	} else if a.Area.PartOf != "" {
		p.colourRow(p.say("touch.its-wood"), 0, a.Plan.Aim, "")
	} else {
		p.colourRow(p.say("answer.common"), 0, a.Plan.Aim, "")
	}
}

// readings are those of an area that several photos show.
func (p *page) readings(views []workshop.AreaView) {
	for i, v := range views {
		about := p.say("answer.first-view")
		if i > 0 {
			about = p.say("answer.view", "off", v.DeltaE, "plus-minus", v.PlusMinus)
		}
		p.wrapped("    "+v.Photo+": ", inLine(v.Lab)+". "+about)
	}
}

// steps is a table of an area's colour after each coat, the one too many in brackets, and how far
// it then is from what it is to come to, with the range that holds 80 times in 100.
func (p *page) steps(path []plan.Step, beyond plan.Step) {
	if p.roomForSteps() {
		p.line("  coats  colour                                     ±   ΔE00  80 in 100  grain")
	}
	for _, s := range path {
		p.step(s, fmt.Sprintf("%5d", s.Coats))
	}
	p.step(beyond, fmt.Sprintf("(%3d)", beyond.Coats))
}

// stepsWidth is what the table of steps takes.
const stepsWidth = 78

func (p *page) roomForSteps() bool { return p.width() >= stepsWidth }

func (p *page) step(s plan.Step, coats string) {
	grain := ""
	if !math.IsNaN(s.Grain) {
		grain = fmt.Sprintf("  %3.0f %%", 100*s.Grain)
	}
	p.stepLine(coats, s.Lab, fmt.Sprintf("%5.1f  %5.1f  %9s%s", s.PlusMinus, s.DeltaE, fmt.Sprintf("%.1f–%.1f", s.Low, s.High), grain))
}

// stepLine is a line of that table, or two where the screen has no room for it.
func (p *page) stepLine(lead string, c colour.Lab, figures string) {
	if p.roomForSteps() {
		p.line("  %s %s  %s  %s", pad(lead, 6), swatch(c), lab(c), figures)
		return
	}
	p.line("  %s %s %s", pad(lead, 6), swatch(c), inLine(c))
	p.line("      %s", strings.Join(strings.Fields(figures), " "))
}

// pairDetails says of every two areas that are to look alike how far apart they are.
func (p *page) pairDetails(r *workshop.PlanResult) {
	pairs := r.Choices[0].Pairs
	if len(pairs) == 0 {
		return
	}
	p.line("")
	for _, pair := range pairs {
		p.wrapped("  ", p.say("answer.pair-figures", "first", pair.Areas[0], "second", pair.Areas[1], "before", pair.Before.Median,
			"after", spread(pair.After), "lamp", spread(pair.Lamp.DeltaE)))
	}
}

// batchDetails say what the amounts to mix rest on.
func (p *page) batchDetails(r *workshop.PlanResult) {
	for i := range r.Batches {
		b := &r.Batches[i]
		if b.Mix == 0 {
			p.wrapped("  ", sentences(p.byHand(b, b.Coating)...))
			continue
		}
		var areas []string
		for _, a := range b.Amounts {
			areas = append(areas, p.say("answer.amount", "area", a.Area, "size", a.SizeM2, "n", a.Coats))
		}
		p.line("")
		p.wrapped("  ", sentences(p.say("answer.needed", "coating", b.Coating, "low", b.Needed[0], "high", b.Needed[1], "areas", areas),
			p.covers(b.Spread)))
		p.wrapped("  ", sentences(p.byHand(b, b.Coating)...))
	}
}

func (s Style) covers(r schedule.SpreadRate) string {
	times, unit := 1.0, "m² a litre"
	if s.US {
		times, unit = schedule.SquareFeetPerGallon, "ft² a gallon"
	}
	low, high := fmt.Sprintf("%.3g", times*r.Low), fmt.Sprintf("%.3g", times*r.High)
	if r.FromLabel {
		return s.say("answer.covers-label", "low", low, "unit", unit)
	}
	return s.say("answer.covers", "low", low, "high", high, "unit", unit)
}

// mixes says what could be stirred together instead.
func (p *page) mixes(r *workshop.PlanResult) {
	if r.Mix == nil || r.Mix.OneMix == nil {
		return
	}
	p.line("")
	p.wrapped("  ", p.mix(r, p.say("answer.one-mix"), r.Mix.OneMix))
	if m := r.Mix.OneCount; m != nil && len(m.Areas) > 1 {
		p.wrapped("  ", p.mix(r, p.say("answer.one-count"), m))
	}
	switch {
	case r.Mix.FirstGuess():
		p.wrapped("  ", p.say("answer.mix-guess"))
	case r.Mix.MixedMore:
		p.wrapped("  ", p.say("answer.mix-told"))
	}
}

func (s Style) mix(r *workshop.PlanResult, lead string, m *plan.MixPlan) string {
	var paints, areas []string
	thinned := func(parts int) string { return s.say("answer.parts-thinner", "n", parts, "with", s.mixThinner(r, m)) }
	for _, part := range m.Parts {
		paints = append(paints, s.say("answer.parts-of", "n", part.Parts, "what", part.Coating))
	}
	same := true
	for _, a := range m.Areas {
		same = same && a.Water == m.Water
	}
	if same && m.Water > 0 {
		paints = append(paints, thinned(m.Water))
	}
	for _, a := range m.Areas {
		switch {
		case same:
			areas = append(areas, s.say("answer.mix-area", "area", plainName(a.Name), "n", a.Coats))
		case a.Water == 0:
			areas = append(areas, s.say("answer.mix-area-undiluted", "area", plainName(a.Name), "n", a.Coats))
		default:
			areas = append(areas, s.say("answer.mix-area-thinned", "area", plainName(a.Name), "n", a.Coats, "parts", thinned(a.Water)))
		}
	}
	end := s.say("answer.mix-end", "figure", spread(m.DeltaE))
	return sentences(lead, s.say("answer.mix-is", "paints", paints, "areas", areas), s.mixVolumes(r, m), end, s.grain(m.Grain))
}

// mixVolumes says how much of each to stir together, for the areas of each strength, and how much of it each area takes.
func (s Style) mixVolumes(r *workshop.PlanResult, m *plan.MixPlan) string {
	var said []string
	all := r.MixBatches(m)
	for i := range all {
		b := &all[i]
		if b.Mix > 0 {
			said = append(said, s.mixVolume(r, m, b, len(all) > 1))
		}
		said = append(said, s.byHand(b, s.say("answer.it"))...)
	}
	return sentences(said...)
}

// byHand says how much of something the areas of a batch that have no size take.
func (s Style) byHand(b *schedule.Batch, what string) (said []string) {
	for i := range b.Unsized {
		a := &b.Unsized[i]
		said = append(said, s.say("answer.mix-by-hand", "area", plainName(a.Area), "high", a.PerHand(b.Spread), "what", what))
	}
	return said
}

// mixVolume says how much of each to stir together for a batch: where it is one of several, for which areas, else how much each takes.
func (s Style) mixVolume(r *workshop.PlanResult, m *plan.MixPlan, b *schedule.Batch, several bool) string {
	paint := 0
	for _, part := range m.Parts {
		paint += part.Parts
	}
	var volumes, areas, shares []string
	for _, part := range m.Parts {
		volumes = append(volumes, s.say("answer.volume-of", "mix", b.Paint*float64(part.Parts)/float64(paint), "what", part.Coating))
	}
	if b.Thinner > 0 {
		volumes = append(volumes, s.say("answer.volume-of", "mix", b.Thinner, "what", s.mixThinner(r, m)))
	}
	for i := range b.Amounts {
		a := &b.Amounts[i]
		areas = append(areas, s.the(a.Area))
		shares = append(shares, s.say("answer.volume-for", "mix", b.Of(a), "area", s.the(a.Area)))
	}
	spare := sparePercent(r.Piece.Spare) / 100
	said := s.say("answer.mix-volumes", "mix", b.Mix, "volumes", volumes, "spare", spare)
	if several {
		said = s.say("answer.mix-volumes-for", "areas", areas, "mix", b.Mix, "volumes", volumes, "spare", spare)
	}
	if len(shares) > 1 {
		said = sentences(said, s.say("answer.mix-shares", "areas", shares))
	}
	return said
}

// mixThinner is what a mix is thinned with: what is stirred together is thinned with the same, or one part of it with what is not known.
func (s Style) mixThinner(r *workshop.PlanResult, m *plan.MixPlan) string {
	for _, part := range m.Parts {
		if k := r.Piece.CoatingNamed(part.Coating); k != nil && k.Family != "" {
			return s.say("answer.thinner", "family", k.Family)
		}
	}
	return s.say("answer.thinner", "family", "")
}

func (p *page) tests(r *workshop.PlanResult) {
	p.line("")
	if len(r.Tests) == 0 {
		p.wrapped("  ", p.NoTestWords(r))
	}
	for i := range r.Tests {
		p.wrapped("  ", p.TestWords(&r.Tests[i]))
	}
}
