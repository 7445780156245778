package report

import (
	"fmt"
	"strings"

	"huewright/blend/plan"
	"huewright/colour"
	"huewright/internal/workshop"
)

// ChoiceWords are the ways to colour an area, the one put forward first; none where areas meet.
func ChoiceWords(a *workshop.AreaPlan) (all []string) {
	if a.Plan == nil {
		return nil
	}
	for _, c := range inOrder(a.Plan.Choices, a.Plan.Kind) {
		all = append(all, c.Kind+": "+choice(&c, a.Plan.Before))
	}
	return all
}

// LaidWords hold what coats on an area were to do against what they did.
func LaidWords(a *workshop.AreaPlan) (all []string) {
	for i := range a.Laid {
		r := &a.Laid[i]
		var coats []string
		for _, c := range r.Coats {
			coats = append(coats, coatWords(c.Count)+" of "+c.Coating)
		}
		text := fmt.Sprintf("after %s: predicted L* %.1f ± %.1f, measured %.1f: %s (ΔE00 %.1f)", strings.Join(coats, ", then "),
			r.Prediction.Predicted.L, r.Prediction.PlusMinus, r.Prediction.Measured.L, colour.DescribeDifference(r.Prediction.Predicted, r.Prediction.Measured), r.Prediction.DeltaE)
		if r.Prediction.PlusMinus == 0 {
			text = fmt.Sprintf("after %s: nothing was foreseen", strings.Join(coats, ", then "))
		}
		if len(r.Causes) > 0 {
			text += ". That is more than was to be expected; it may be that " + strings.Join(r.Causes, "; or that ")
		}
		all = append(all, text)
	}
	return all
}

// MeetWords are how areas without a target come together.
func MeetWords(m *plan.MeetPlan) string {
	c := &m.Choices[m.Chosen]
	return fmt.Sprintf("no target: the areas are brought to meet; the two that differ most are %.1f apart as they are, and then %s and %s are %s apart%s",
		m.Before, c.Pair[0], c.Pair[1], spread(c.Worst), grainWords(c.Grain))
}

// TestWords say what to test next.
func TestWords(t *plan.TestAdvice) string {
	return fmt.Sprintf("%s of %s on %s, half of it left bare: the counts, now open by %.1f coats, would be by about %.1f", coatWords(t.Coats), t.Coating, t.On, t.Now, t.Then)
}
