package repair

import (
	"fmt"
	"math"
	"math/rand/v2"

	"huewright/blend"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/stat"
)

// A touch is some touches of a coating, thinned, and what a repair then looks like.
type touch struct {
	coating  string
	strength float64 // of the mix the coating stands for, 1 for as it is
	touches  int
	after    colour.Lab
	before   float64 // ΔE00 from the wood, now
	deltaE   float64 // and then
}

const (
	mostTouches = 3
	worthATouch = colour.Perceptible // ΔE00 that touches must gain
	darkerBy    = 1.0                // L* by which a repair must be darker to count
	lampSeed    = 1948
)

// touchStrengths are how thin a touch may be: an artist's brush is loaded thin.
var touchStrengths = []float64{1, 0.5, 0.25}

// bestTouch finds which coating of the shelf, how thin and how often, brings a repair nearest to its
// wood. It is false where none gains what an eye could see.
func bestTouch(l *Appearance, shelf []blend.Coating) (best touch, ok bool) {
	wood := l.Repair.Ring.Mean
	ground := spectra.PriorSpectrum(l.Repair.Patch.Mean)
	best.before = colour.DeltaE2000(wood, l.Repair.Patch.Mean)
	best.deltaE = best.before
	for i := range shelf {
		c := &shelf[i]
		for _, strength := range touchStrengths {
			for n := 1; n <= mostTouches; n++ {
				s := c.Over(&ground, strength*c.Thickness(float64(n), blend.NonAbsorbing, nil))
				after := s.Lab()
				if d := colour.DeltaE2000(wood, after); d < best.deltaE {
					best = touch{c.Name, strength, n, after, best.before, d}
				}
			}
		}
	}
	return best, best.deltaE <= best.before-worthATouch
}

// String says the touches: "2 touches of brown glaze at half strength".
func (t touch) String() string {
	touches := fmt.Sprintf("%d touches", t.touches)
	if t.touches == 1 {
		touches = "1 touch"
	}
	thin := ""
	switch t.strength {
	case 0.5:
		thin = ", thinned to half"
	case 0.25:
		thin = ", thinned to a quarter"
	}
	return fmt.Sprintf("%s of %s%s", touches, t.coating, thin)
}

// roundFrom is the roundness from which an outline reads as a patch: a square has 0.79.
const roundFrom = 0.70

// Advise says what to do about a repair, the first thing first. roundness is 4π times its area over the
// square of its outline's length; shelf may be empty. What a wood worker would do beyond colour is
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
			say("it is darker than the wood, and thin coats only darken: it wants a touch of a paler colour that hides, thinly, or to be taken back and filled anew")
			if roundness > roundFrom && r.Coherence > grainSure && r.Spread >= seenSpread {
				say("or make a small knot of it: the wood's grain is plain (L* varies by %.1f, %.0f° from level); lead two lines of it round the spot", r.Spread, fromLevel(r.Along))
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

// A LightRisk is what may happen to a repair under another light. From three numbers it is a risk and
// not a measurement: many spectra have one colour.
type LightRisk struct {
	Light        string
	Median, High float64 // ΔE00 between repair and wood: 50 and 90 % of the guesses
	Now          float64 // in daylight
	Breaks       float64 // share of guesses in which it is seen there, though not in daylight
}

// Risky reports whether the match may well break there.
func (r *LightRisk) Risky() bool { return r.Breaks > 0.2 }

const lightGuesses = 160

// LightRisks guesses how repair and wood would differ under a filament lamp and a warm LED: both are
// given spectra of their colour, smooth and otherwise any, again and again. Fillers and paints are
// of other stuff than wood, so their guesses are independent.
func LightRisks(l *Appearance) []LightRisk {
	patch, ring := l.Repair.Patch.Mean, l.Repair.Ring.Mean
	now := colour.DeltaE2000(ring, patch)
	lights := []*spectra.Light{spectra.LightA, spectra.LightWarmLED}
	off := make([][]float64, len(lights))
	breaks := make([]float64, len(lights))
	rng := rand.New(rand.NewPCG(lampSeed, 2))
	draw := func(c colour.Lab) spectra.Spectrum {
		var by [spectra.Modes]float64
		for i := range by {
			by[i] = rng.NormFloat64()
		}
		return spectra.Metamer(c, &by)
	}
	for range lightGuesses {
		a, b := draw(patch), draw(ring)
		for i, light := range lights {
			d := colour.DeltaE2000(b.LabUnder(light), a.LabUnder(light))
			off[i] = append(off[i], d)
			if d >= breaksAt && d >= now+colour.Perceptible {
				breaks[i] += 1.0 / lightGuesses
			}
		}
	}
	var risks []LightRisk
	for i, light := range lights {
		risks = append(risks, LightRisk{light.Name, stat.Quantile(off[i], 0.5), stat.Quantile(off[i], 0.9), now, breaks[i]})
	}
	return risks
}

// breaksAt is the ΔE00 from which a match has broken: just acceptable side by side.
//
// Source: Paravina et al. (2015), J. Esthet. Restor. Dent. 27, S1–S9: 50:50 % acceptability 1.8.
const breaksAt = 1.8
