package repair

import (
	"fmt"
	"math"

	"huewright/blend"
	"huewright/colour"
)

const darkerBy = 1.0 // L* by which a repair must be darker to count

// roundFrom is the roundness from which an outline reads as a patch: a square has 0.79.
const roundFrom = 0.70

// Advise says what to do about a repair, the first thing first. near is the view of l from distance 0; roundness is
// 4π times the repair's area over the square of its outline's length; shelf may be empty. What a wood worker would do beyond colour is
// common practice, no source; each piece of advice stands on what was measured.
func Advise(near View, l *Appearance, shelf []blend.Coating, roundness float64) (all []string) {
	say := func(format string, args ...any) { all = append(all, fmt.Sprintf(format, args...)) }
	if !near.Seen {
		return []string{"leave it: more would only show"}
	}
	p, r := &l.Repair.Patch, &l.Repair.Ring
	wrongColour := near.seesColour()
	if wrongColour {
		touch, helps := bestTouch(l, shelf)
		switch {
		case helps:
			say("%s: from %.1f to about %.1f ΔE00 from the wood; try it on scrap of the same colour first", touch, touch.before, touch.deltaE)
		case p.Mean.L < r.Mean.L-darkerBy:
			say("it is darker than the wood, and thin coats only darken: " +
				"it wants a touch of a paler colour that hides, thinly, or to be taken back and filled anew")
			if roundness > roundFrom && r.Coherence > grainSure && r.Spread >= seenSpread {
				say("or make a small knot of it: the wood's grain is plain (L* varies by %.1f, %.0f° from level); "+
					"lead two lines of it round the spot", r.Spread, fromLevel(r.Along))
			}
		case len(shelf) > 0:
			say("nothing on the shelf brings it clearly nearer; what is missing makes it %s", colour.DescribeDifference(p.Mean, r.Mean))
		default:
			say("it wants to be %s", colour.DescribeDifference(p.Mean, r.Mean))
		}
	}
	if near.seesSpread() && near.Spread < 0 {
		lines := fmt.Sprintf("two or three grain lines in a darker glaze, along the wood's grain (%.0f° from level)", fromLevel(r.Along))
		if wrongColour {
			say("then %s, carried across the edge", lines)
		} else {
			say("%s, carried across the edge; no more colour", lines)
		}
	}
	if near.seesSpread() && near.Spread > 0 {
		say("quieten it: a thin veil of the wood's lightest colour (%v) over it", r.Ground)
	}
	if near.seesLine() {
		say("break its outline: carry grain lines across it, and feather the edge out along the grain")
	} else if roundness > roundFrom {
		say("a round or square outline reads as a patch: draw its ends out along the grain")
	}
	if near.seesTurn() {
		say("turn new grain lines by %.0f°, to run with the wood's", math.Abs(near.Turned))
	}
	return all
}

// fromLevel is the angle of a direction from level, 0–90 degrees.
func fromLevel(along float64) float64 { return math.Abs(math.Remainder(along, 180)) }
