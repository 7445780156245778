package report

import (
	"fmt"
	"slices"
	"strings"

	"huewright/blend/plan"
	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/words"
	"huewright/internal/workshop"
)

// ChoiceWords are the other ways to colour the piece, and counts that are as good as the suggested ones.
func (s Style) ChoiceWords(r *workshop.PlanResult) (all []string) {
	first := &r.Choices[0]
	for i := range r.AsGood {
		all = append(all, s.say("answer.as-good", "areas", s.choiceAreas(r, &r.AsGood[i], first)))
	}
	for i := 1; i < len(r.Choices); i++ {
		c := &r.Choices[i]
		if c.Untouched() {
			continue
		}
		all = append(all, s.say("answer.or", "way", otherWay(c, first), "areas", s.choiceAreas(r, c, first), "seen", seen(c.Worst.Median),
			"figure", deltaE(c.Worst.Median), "grain", grainClass(c.Grain)))
	}
	return all
}

// otherWay is how a choice differs from the first, as the catalogue's sentences select it.
func otherWay(c, first *plan.Choice) string {
	switch {
	case c.Worst.Median < first.Worst.Median && c.Grain < first.Grain:
		return "closer"
	case c.Worst.Median < first.Worst.Median:
		return "more"
	case c.Grain > first.Grain:
		return "grain"
	}
	return "fewer"
}

// HeadlineWords are the counts of all areas, in a line.
func (s Style) HeadlineWords(r *workshop.PlanResult) string {
	return words.Capital(strings.Join(s.choiceAreas(r, &r.Choices[0], nil), "; "))
}

// choiceAreas are the coats that a choice lays on its areas, "frame and panel 3 coats"; beside a plan, which may be nil, only on the areas
// that get others there.
func (s Style) choiceAreas(r *workshop.PlanResult, c, beside *plan.Choice) (all []string) {
	one, rest := plannedCoatings(r) == 1, false
	var coats []string
	areas := map[string][]string{} // by their coats
	for i, a := range c.Areas {
		says := s.countedOnly(a.Coats, one)
		switch {
		case r.WithWood(&r.Areas[i]):
			continue
		case beside != nil && says == s.countedOnly(beside.Areas[i].Coats, one):
			rest = true
			continue
		case areas[says] == nil:
			coats = append(coats, says)
		}
		areas[says] = append(areas[says], a.Name)
	}
	for _, says := range coats {
		all = append(all, s.say("answer.choice-area", "areas", areas[says], "coats", says))
	}
	if rest && len(all) > 0 {
		all = append(all, s.say("answer.choice-rest"))
	}
	return all
}

// LaidWords hold what coats on an area were to do against what they did.
func (s Style) LaidWords(a *workshop.AreaPlan) (all []string) {
	for i := range a.Laid {
		all = append(all, s.laid(s.say("answer.it"), &a.Laid[i]))
	}
	return all
}

// laid holds the coats on an area, who, against what was predicted of them.
func (s Style) laid(who string, r *workshop.LaidReport) string {
	coats, q := s.countedOnly(r.Coats, false), &r.Prediction
	if q.PlusMinus == 0 {
		return s.say("answer.laid-unpredicted", "coats", coats, "who", who)
	}
	figure := fmt.Sprintf("ΔE00 %.1f ± %.1f", q.DeltaE, q.PlusMinus)
	says := s.say("answer.laid-right", "coats", coats, "who", who, "figure", figure)
	if how := differs(q.Predicted, q.Measured); how != "" {
		says = s.say("answer.laid", "coats", coats, "who", who, "how", how, "figure", figure)
	}
	for i, cause := range r.Causes {
		if i == 0 {
			says = sentences(says, s.say("answer.laid-cause", "cause", cause))
		} else {
			says = sentences(says, s.say("answer.laid-cause-too", "cause", cause))
		}
	}
	return says
}

// PairWords say how far two areas that are to look alike are apart after the coats, and now.
func (s Style) PairWords(r *workshop.PlanResult, pair *plan.Pair) string {
	var ends [2]colour.Lab
	for i, name := range pair.Areas {
		path := r.Named(name).Plan.Path
		ends[i] = path[len(path)-1].Lab
	}
	first, second := plainName(pair.Areas[0]), plainName(pair.Areas[1])
	if ends[0].L < ends[1].L { // the lighter is the one that is noticed
		first, second, ends[0], ends[1] = second, first, ends[1], ends[0]
	}
	how, class := differs(ends[1], ends[0]), seen(pair.After.Median)
	figure := fromTo(pair.After.Median, pair.Before.Median)
	switch {
	case r.Choices[0].Untouched():
		return s.say("answer.pair-now", "seen", class, "first", first, "second", second, "how", how, "figure", deltaE(pair.After.Median))
	case how == "":
		return s.say("answer.pair-somehow", "seen", class, "first", first, "second", second, "figure", figure)
	}
	return s.say("answer.pair", "seen", class, "first", first, "second", second, "how", how, "figure", figure)
}

// A lampPair is two colours by day and by lamp.
type lampPair struct {
	who, than string // "the panel", "the target"
	day       float64
	view      plan.LampView
}

// breaks reports whether a difference is more visible by the lamp than by day.
func (p *lampPair) breaks() bool {
	by := p.view.DeltaE.Median
	return by >= p.day+lampDiffers && plan.Visibility(by) > plan.Visibility(p.day)
}

// class is how a difference by lamp is beside that by day, as the catalogue's sentences select it, and how the second differs from the
// first there.
func (p *lampPair) class() (class, how string) {
	by := p.view.DeltaE.Median
	how = differs(p.view.Of[0], p.view.Of[1])
	switch {
	case by < colour.Perceptible:
		return "none", how
	case by <= p.day-lampDiffers:
		return "less", how
	case by < p.day+lampDiffers || how == "":
		return "same", how
	}
	return "more", how
}

// worstByLamp are the two that differ most by a warm lamp, of those that are more visible there than by day if any are; nil where nothing
// is compared.
func (s Style) worstByLamp(r *workshop.PlanResult) (worst *lampPair) {
	look := func(p lampPair) {
		if worst == nil || p.breaks() && !worst.breaks() || p.breaks() == worst.breaks() && p.view.DeltaE.Median > worst.view.DeltaE.Median {
			worst = &p
		}
	}
	for _, p := range r.Choices[0].Pairs {
		if p.Lamp.Of[0].L > p.Lamp.Of[1].L { // the lighter is the one that is noticed
			p.Areas[0], p.Areas[1], p.Lamp.Of[0], p.Lamp.Of[1] = p.Areas[1], p.Areas[0], p.Lamp.Of[1], p.Lamp.Of[0]
		}
		look(lampPair{s.the(p.Areas[1]), s.the(p.Areas[0]), p.After.Median, p.Lamp})
	}
	if worst != nil {
		return worst
	}
	for i := range r.Areas {
		if a := r.Areas[i].Plan; a.ToTarget {
			look(lampPair{s.the(a.Name), s.say("answer.the-target"), a.After.Median, a.Lamp})
		}
	}
	return worst
}

// LampWords say how the two that differ most by a warm lamp will differ there; "" where nothing is compared.
func (s Style) LampWords(r *workshop.PlanResult) string {
	p := s.worstByLamp(r)
	if p == nil {
		return ""
	}
	class, how := p.class()
	return s.say("answer.by-lamp", "class", class, "who", p.who, "than", p.than, "how", how, "lamp", p.view.DeltaE.Median, "day", p.day)
}

// lampDiffers is the ΔE00 by which a difference in lamplight is told from that by day. Our own choice: about what the guess is off by.
const lampDiffers = 0.5

// testedOn is what a test coat goes on.
func (s Style) testedOn(t *plan.TestAdvice) string {
	if t.On == "" {
		return s.say("plan.test-card")
	}
	return s.the(t.On)
}

// TestWords say what to test next, and what it is expected to give.
func (s Style) TestWords(t *plan.TestAdvice) string {
	do := map[plan.TestWay]fault.Code{plan.TestCoats: "answer.test-coats", plan.TestStrip: "answer.test-strip",
		plan.TestChip:  "answer.test-chip",
		plan.TestPhoto: "answer.test-photo"}[t.Way]
	where := "wood"
	if t.On == "" {
		where = "card"
	}
	return sentences(s.say(do, "n", t.Coats, "coating", t.Coating, "on", s.testedOn(t), "where", where), s.testGives(t))
}

// testGives says what a test is expected to give.
func (s Style) testGives(t *plan.TestAdvice) string {
	if deltaE(t.Then) != deltaE(t.Now) && t.Then < t.Now {
		return s.say("answer.test-gives", "now", t.Now, "then", t.Then, "share", 100*(1-t.Then/t.Now))
	}
	return s.say("answer.test-spares")
}

// NoTestWords say that no test is worth making.
func (s Style) NoTestWords(r *workshop.PlanResult) string {
	if wideRanges(r) {
		return s.say("answer.no-test-wide")
	}
	return s.say("answer.no-test")
}

// wideRanges reports whether the count of a coating may be off by two coats or more.
func wideRanges(r *workshop.PlanResult) bool {
	return slices.ContainsFunc(r.Areas, func(a workshop.AreaPlan) bool {
		return slices.ContainsFunc(a.Plan.Coats, func(c plan.CoatCount) bool { return c.Range[1]-c.Range[0] >= 2 })
	})
}

// EarlierWords say what earlier pieces told of a coating.
func (s Style) EarlierWords(e *workshop.Earlier) string {
	switch {
	case e.Results == 0:
		return s.say("answer.earlier-colour", "pieces", e.Pieces)
	case e.SameBatch == e.Results:
		return s.say("answer.earlier-batch", "pieces", e.Pieces, "results", e.Results, "alike", e.Alike)
	}
	return s.say("answer.earlier", "pieces", e.Pieces, "results", e.Results, "batch", e.SameBatch, "alike", e.Alike)
}

// title is an area's name, and what is known of it besides its colour.
func (s Style) title(a *piece.Area) string {
	if about := s.described(a); about != "" {
		return a.Name + " (" + about + ")"
	}
	return a.Name
}

// described is what is known of an area besides its colour: "ash, sealed, 0.62 m²".
func (s Style) described(a *piece.Area) string {
	size := ""
	if a.SizeM2 > 0 {
		size = s.say("measure.size", "size", a.SizeM2)
	}
	return joined(", ", a.Wood, a.Surface, size)
}

// LabWords are a colour in figures with its ±.
func (s Style) LabWords(c colour.Lab, plusMinus float64) string {
	return fmt.Sprintf("%s ± %.1f", inLine(c), plusMinus)
}
