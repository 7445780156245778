package report

import (
	"fmt"
	"math"
	"slices"

	"huewright/blend/plan"
	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/words"
)

// seen is how visible a difference is, as the catalogue's sentences select it.
func seen(deltaE float64) string {
	return [...]string{"same", "pass", "close", "arm", "room"}[plan.Visibility(deltaE)]
}

// grain says how much of the grain is left; "" where it is not known.
func (s Style) grain(kept float64) string {
	class := grainClass(kept)
	if class == "" {
		return ""
	}
	return s.say("answer.grain", "grain", class, "kept", kept)
}

// grainClass is how much of the grain is left, as the catalogue's sentences select it; "" where it is not known.
func grainClass(kept float64) string {
	switch {
	case math.IsNaN(kept):
		return ""
	case kept >= plan.Clear:
		return "clear"
	case kept >= plan.Softened:
		return "softened"
	case kept >= plan.Faint:
		return "faint"
	}
	return "covered"
}

// The classes of a ±, the 95 % radius of a colour in CIEDE2000, each up to its most. Our own choice: with a good one, what is
// planned passes at arm's length.
var certainties = []struct {
	most  float64
	class string
}{{2.5, "good"}, {5, "fair"}, {math.Inf(1), "rough"}}

// sure is how sure a colour is, in a word.
func (s Style) sure(plusMinus float64) string {
	for _, c := range certainties {
		if plusMinus <= c.most {
			return s.say("measure.sure", "sure", c.class)
		}
	}
	return ""
}

// mostSaid is how many parts of a difference are said: more is not understood at first sight.
const mostSaid = 2

// differs says how sample differs from ref: "much lighter and a little yellower"; "" where nobody sees a difference.
func differs(ref, sample colour.Lab) string {
	if colour.DeltaE2000(ref, sample) < colour.Perceptible {
		return ""
	}
	changes := colour.DescribeDifference(ref, sample).Values["changes"].([]fault.Note)
	changes = slices.Clone(changes[:min(len(changes), mostSaid)])
	for i, c := range changes[1:] {
		if c.Values["grade"] == changes[0].Values["grade"] {
			changes[i+1] = fault.Say(c.Code, "grade", "same") // "much lighter and less red"
		}
	}
	return words.Speaker{}.Say(fault.Say("colour.difference", "changes", changes))
}

// deltaE is a difference as figures name it.
func deltaE(x float64) string { return fmt.Sprintf("ΔE00 %.1f", x) }

// fromTo is a difference with what it is now.
func fromTo(after, before float64) string { return fmt.Sprintf("ΔE00 %.1f, now %.1f", after, before) }
