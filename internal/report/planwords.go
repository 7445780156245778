package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"huewright/blend/plan"
	"huewright/colour"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// ChoiceWords are the ways to colour an area, the one put forward first; none where areas meet.
func (s Style) ChoiceWords(a *workshop.AreaPlan) (all []string) {
	if a.Plan == nil {
		return nil
	}
	for _, c := range inOrder(a.Plan.Choices, a.Plan.Kind) {
		all = append(all, c.Kind+": "+choice(&c, a.Plan.Before))
	}
	return all
}

// LaidWords hold what coats on an area were to do against what they did.
func (s Style) LaidWords(a *workshop.AreaPlan) (all []string) {
	for i := range a.Laid {
		r := &a.Laid[i]
		coats, q := coatsOn(r.Coats), &r.Prediction
		text := fmt.Sprintf("after %s: predicted L* %.1f ± %.1f, measured %.1f: %s (ΔE00 %.1f)",
			coats, q.Predicted.L, q.PlusMinus, q.Measured.L, colour.DescribeDifference(q.Predicted, q.Measured), q.DeltaE)
		if q.PlusMinus == 0 {
			text = fmt.Sprintf("after %s: nothing was foreseen", coats)
		}
		if len(r.Causes) > 0 {
			text += ". That is more than was to be expected; it may be that " + strings.Join(r.Causes, "; or that ")
		}
		all = append(all, text)
	}
	return all
}

// MeetWords are how areas without a target come together.
func (s Style) MeetWords(m *plan.MeetPlan) string {
	c := &m.Choices[m.Chosen]
	return fmt.Sprintf("no target: the areas are brought to meet; the two that differ most are %.1f apart as they are, "+
		"and then %s and %s are %s apart%s", m.Before, c.Pair[0], c.Pair[1], spread(c.Worst), grainWords(c.Grain))
}

// TestWords say what to test next.
func (s Style) TestWords(t *plan.TestAdvice) string {
	return fmt.Sprintf("%s of %s on %s, half of it left bare: the counts, now open by %.1f coats, would be by about %.1f",
		plan.CoatWords(t.Coats), t.Coating, t.On, t.Now, t.Then)
}

// EarlierWords say what earlier pieces told of a coating.
func (s Style) EarlierWords(e *workshop.Earlier) string {
	from := "from " + howMany(len(e.Pieces), "earlier piece", "earlier pieces") + " (" + strings.Join(e.Pieces, ", ") + "): "
	results := howMany(e.Results, "result", "results")
	switch {
	case e.Results == 0:
		return from + "its own colour"
	case e.SameBatch == e.Results:
		return from + fmt.Sprintf("%s of this batch, %d on wood like this; they count as weak evidence", results, e.Alike)
	}
	return from + fmt.Sprintf("%s, %d of this batch, %d on wood like this; they count as weak evidence", results, e.SameBatch, e.Alike)
}

// title is an area's name, and what is known of it besides its colour.
func title(a piece.Area) string {
	if about := described(a, false); about != "" {
		return a.Name + " (" + about + ")"
	}
	return a.Name
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

// choice says what a choice lays and where that ends.
func choice(c *plan.Choice, before float64) string {
	s := fmt.Sprintf("%s; then %s from the target, from %.1f", counted(c.Coats), spread(c.DeltaE), before)
	if len(c.Coats) == 0 {
		s = fmt.Sprintf("no coat: %s from the target as it is", spread(c.DeltaE))
	}
	for _, do := range c.Between {
		s += "; " + do
	}
	s += fmt.Sprintf("; within tolerance in %.0f of 100", 100*c.Within)
	return s + grainWords(c.Grain)
}

func grainWords(kept float64) string {
	if math.IsNaN(kept) {
		return ""
	}
	s := fmt.Sprintf("; %.0f %% of the grain kept", 100*kept)
	if kept < littleGrain {
		s += ": that is paint more than stain"
	}
	return s
}

// littleGrain is the share below which a wood looks painted. Our own choice.
const littleGrain = 0.25

func spread(s plan.Spread) string {
	if s.High-s.Low < 0.05 {
		return fmt.Sprintf("%.1f", s.Best)
	}
	return fmt.Sprintf("%.1f (%.1f–%.1f)", s.Best, s.Low, s.High)
}

func stopWords(after, coats int) string {
	switch {
	case after == 0:
		return "look hard before the first coat: it could go too far"
	case after < coats:
		return fmt.Sprintf("stop and look after coat %d: the next could go too far", after)
	default:
		return fmt.Sprintf("look after every coat; up to coat %d none is likely to go too far", coats)
	}
}

// coatsOn are coats that an area has: "2 coats of brown wash, then 1 coat of glaze".
func coatsOn(coats []plan.CoatCount) string {
	var parts []string
	for _, c := range coats {
		parts = append(parts, plan.CoatWords(c.Count)+" of "+c.Coating)
	}
	return strings.Join(parts, ", then ")
}

func coatsIn(coats []plan.CoatCount) (n int) {
	for _, c := range coats {
		n += c.Count
	}
	return n
}

// joined joins the texts that say something.
func joined(by string, texts ...string) string {
	return strings.Join(slices.DeleteFunc(texts, func(s string) bool { return s == "" }), by)
}

// described is what is known of an area besides its colour: "ash, sealed".
func described(a piece.Area, us bool) string {
	size := ""
	if a.SizeM2 > 0 {
		size = square(a.SizeM2, us)
	}
	return joined(", ", a.Wood, a.Surface, size)
}

// counted says the coats of a plan in words, the undermost first, each with the range it may need:
// "2 coats of brown wash (2–3)".
func counted(coats []plan.CoatCount) string {
	if len(coats) == 0 {
		return "no coat"
	}
	var parts []string
	for _, c := range coats {
		parts = append(parts, fmt.Sprintf("%s of %s %s", plan.CoatWords(c.Count), c.Coating, rangeWords(c.Range)))
	}
	return strings.Join(parts, ", then ")
}

func rangeWords(r [2]int) string {
	if r[0] == r[1] {
		return fmt.Sprintf("(%d)", r[0])
	}
	return fmt.Sprintf("(%d–%d)", r[0], r[1])
}

func water(parts int) string {
	if parts == 0 {
		return ", not thinned"
	}
	return fmt.Sprintf(", %s of water", howMany(parts, "part", "parts"))
}

// LabWords are a colour in figures with its ±.
func (s Style) LabWords(c colour.Lab, plusMinus float64) string {
	return fmt.Sprintf("L* %.1f a* %.1f b* %.1f ± %.1f", c.L, math.Round(10*c.A)/10+0, math.Round(10*c.B)/10+0, plusMinus)
}
