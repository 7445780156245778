package report

import (
	"fmt"
	"math"
	"slices"

	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/words"
)

// A visible is how far off two colours of wood can be told apart, as the catalogue's sentences select it.
type visible string

// The classes of a difference in CIEDE2000, each from its least on. That of same and pass is the threshold at which half of
// all people see a difference, and at which half of them mind it.
//
// Source: Paravina et al. (2015), J. Esthet. Restor. Dent. 27, S1–S9, 50:50 thresholds, side by side. The distances that the
// larger ones are seen from are our own choice.
var visibles = []struct {
	least float64
	class visible
}{
	{8, "room"}, // from across the room
	{4, "arm"},  // at arm's length
	{1.8, "close"},
	{colour.Perceptible, "pass"}, // side by side
	{0, "same"},
}

// seen is how visible a difference is.
func seen(deltaE float64) string {
	for _, v := range visibles {
		if deltaE >= v.least {
			return string(v.class)
		}
	}
	return ""
}

// The classes of grain, by the share of its contrast that is left, each from its least on. Our own choice.
var grains = []struct {
	least float64
	class string
}{{0.8, "clear"}, {0.5, "softened"}, {0.25, "faint"}, {0, "covered"}}

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
	for _, g := range grains {
		if kept >= g.least {
			return g.class
		}
	}
	return "" // NaN
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
