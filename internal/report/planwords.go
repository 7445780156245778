package report

import (
	"fmt"
	"math"

	"huewright/blend/plan"
	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/words"
	"huewright/internal/workshop"
)

// ChoiceWords are the ways to colour an area, the suggested one first; none where areas meet.
func (s Style) ChoiceWords(a *workshop.AreaPlan) (all []string) {
	if a.Plan == nil {
		return nil
	}
	for _, c := range inOrder(a.Plan.Choices, a.Plan.Kind) {
		all = append(all, s.choice(&c, a.Plan.Before))
	}
	return all
}

// choice says what a choice lays and where that ends.
func (s Style) choice(c *plan.Choice, before float64) string {
	all := []string{s.say("answer.choice", "kind", c.Kind, "coats", s.counted(c.Coats, false))}
	all = append(all, s.Warnings(c.Between)...)
	class := seen(c.DeltaE.Best)
	if coatsIn(c.Coats) == 0 {
		all = append(all, s.say("answer.choice-now", "seen", class, "figure", "ΔE00 "+spread(c.DeltaE)))
	} else {
		all = append(all, s.say("answer.choice-then", "seen", class, "figure", fmt.Sprintf("ΔE00 %s, now %.1f", spread(c.DeltaE), before)))
	}
	return sentences(append(all, s.say("answer.within", "times", math.Round(100*c.Within)), s.grainOf(c.Coats, c.Grain))...)
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
	coats, q := s.onIt(r.Coats), &r.Prediction
	if q.PlusMinus == 0 {
		return s.say("answer.laid-unpredicted", "coats", coats, "who", who)
	}
	figure := fmt.Sprintf("ΔE00 %.1f ± %.1f", q.DeltaE, q.PlusMinus)
	says := s.say("answer.laid-right", "coats", coats, "who", who, "figure", figure)
	if how := differs(q.Predicted, q.Measured); how != "" {
		says = s.say("answer.laid", "coats", coats, "who", who, "how", how, "figure", figure)
	}
	if len(r.Causes) > 0 {
		says += " " + s.say("answer.laid-causes", "causes", r.Causes)
	}
	return says
}

// onIt are coats that an area has.
func (s Style) onIt(coats []plan.CoatCount) string {
	var parts []string
	for _, c := range coats {
		parts = append(parts, s.say("answer.coats-of", "n", c.Count, "coating", c.Coating))
	}
	return joined(", "+s.say("answer.after-that")+" ", parts...)
}

// MeetWords are how areas without a target come together.
func (s Style) MeetWords(m *plan.MeetPlan) string {
	c := &m.Choices[m.Chosen]
	var ends [2]colour.Lab
	for _, a := range c.Areas {
		for i, name := range c.Pair {
			if a.Name == name {
				ends[i] = a.Path[min(coatsIn(a.Coats), len(a.Path)-1)].Lab
			}
		}
	}
	first, second := c.Pair[0], c.Pair[1]
	if ends[0].L < ends[1].L { // the lighter is the one that is noticed
		first, second, ends[0], ends[1] = second, first, ends[1], ends[0]
	}
	how := differs(ends[1], ends[0])
	if how == "" {
		return s.say("answer.choice-then", "seen", seen(c.Worst.Best), "figure", fromTo(c.Worst.Best, m.Before))
	}
	return s.say("answer.meet", "seen", seen(c.Worst.Best), "first", plainName(first), "second", plainName(second),
		"how", how, "figure", fromTo(c.Worst.Best, m.Before))
}

// testedOn is what a test coat goes on.
func testedOn(t *plan.TestAdvice) any {
	if t.On == "" {
		return fault.Say("plan.test-card")
	}
	return t.On
}

// TestWords say what to test next.
func (s Style) TestWords(t *plan.TestAdvice) string {
	if !s.Full && s.Voice == words.Terminal {
		return s.say("answer.test-short", "n", t.Coats, "coating", t.Coating, "on", testedOn(t))
	}
	return s.say("answer.test", "n", t.Coats, "coating", t.Coating, "on", testedOn(t), "now", t.Now, "then", t.Then)
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

// inOrder puts the choice of a kind first.
func inOrder(choices []plan.Choice, first string) (all []plan.Choice) {
	for _, c := range choices {
		if c.Kind == first {
			all = append([]plan.Choice{c}, all...)
		} else {
			all = append(all, c)
		}
	}
	return all
}

// LabWords are a colour in figures with its ±.
func (s Style) LabWords(c colour.Lab, plusMinus float64) string {
	return fmt.Sprintf("%s ± %.1f", inLine(c), plusMinus)
}
