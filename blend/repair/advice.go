package repair

import (
	"math"

	"huewright/blend"
	"huewright/colour"
	"huewright/internal/fault"
)

const darkerBy = 1.0 // L* by which a repair must be darker to count

// roundFrom is the roundness from which an outline reads as a patch: a square has 0.79.
const roundFrom = 0.70

// Advise returns what to do about a repair, the first thing first. near is the view of l from distance 0; roundness is
// 4π times the repair's area over the square of its outline's length; shelf may be empty. What a wood worker would do beyond colour is
// common practice, no source; each piece of advice stands on what was measured.
func Advise(near View, l *Appearance, shelf []blend.Coating, roundness float64) (all []fault.Note) {
	say := func(code fault.Code, values ...any) { all = append(all, fault.Say(code, values...)) }
	if !near.Seen {
		return []fault.Note{fault.Say("mend.leave")}
	}
	p, r := &l.Repair.Patch, &l.Repair.Ring
	wrongColour := near.seesColour()
	if wrongColour {
		touch, helps := bestTouch(l, shelf)
		switch {
		case helps:
			say("mend.touch-up", "touches", touch.touches, "coating", touch.coating, "strength", touch.strength,
				"before", touch.before, "after", touch.deltaE)
		case p.Mean.L < r.Mean.L-darkerBy:
			say("mend.too-dark")
			if roundness > roundFrom && r.Coherence > grainSure && r.Spread >= seenSpread {
				say("mend.make-a-knot", "degrees", fromLevel(r.Along))
			}
		case len(shelf) > 0:
			say("mend.nothing-helps", "difference", colour.DescribeDifference(p.Mean, r.Mean))
		default:
			say("mend.wants", "difference", colour.DescribeDifference(p.Mean, r.Mean))
		}
	}
	if near.seesSpread() && near.Spread < 0 {
		if wrongColour {
			say("mend.then-draw-grain", "degrees", fromLevel(r.Along))
		} else {
			say("mend.draw-grain", "degrees", fromLevel(r.Along))
		}
	}
	if near.seesSpread() && near.Spread > 0 {
		say("mend.quieten", "hex", r.Ground.Hex())
	}
	if near.seesLine() {
		say("mend.break-outline")
	} else if roundness > roundFrom {
		say("mend.draw-out")
	}
	if near.seesTurn() {
		say("mend.turn-grain", "degrees", math.Abs(near.Turned))
	}
	return all
}

// fromLevel is the angle of a direction from level, 0–90 degrees.
func fromLevel(along float64) float64 { return math.Abs(math.Remainder(along, 180)) }
