package repair

import (
	"math"

	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/stat"
)

// Least differences that an eye sees. In colour what is perceptible side by side; the others are
// our own choice: texture hides lightness, so they are as large as a just acceptable colour.
const (
	seenColour  = colour.Perceptible
	seenQuarter = 1.8 * colour.Perceptible // of the lightest or darkest quarter alone
	seenSpread  = 0.8                      // L*, of standard deviations
	seenLine    = 1.0                      // L*
	seenTurn    = 15.0                     // degrees
	toldTurn    = 8.0                      // degrees from which a turn is worth a word
)

const (
	ellipsoidShare = 0.95 // of patches that differ from their ring less than what is still usual
	grainSure      = 0.25 // coherence from which a direction of grain is one
)

// A View is what shows of a repair as it is seen from one distance.
type View struct {
	Distance float64 // mm; 0 for the picture itself, as near as one likes
	Rank     Rank
	Colour   float64 // ΔE00 of the mean colours
	Ground   float64 // of the lightest quarters
	Figure   float64 // of the darkest
	Spread   float64 // L*, how much more the repair varies than the wood
	Turned   float64 // degrees that its grain runs off the wood's; 0 where either has none to speak of
	Line     float64 // L*, how much lighter than both sides its edge is
	Seen     bool    // unlike, and large enough for an eye

	// ColourResidual is what of Colour lies outside the ellipsoid of 95 % of this wood's patches, ΔE00: only
	// that gives a repair away.
	ColourResidual float64

	groundResidual, figureResidual float64 // ΔE00
	spreadResidual, lineResidual   float64 // L*
}

// ViewFrom returns what shows of an appearance that is seen from a distance in mm.
func (l *Appearance) ViewFrom(distance float64) View {
	p, r := &l.Repair.Patch, &l.Repair.Ring
	v := View{
		Distance: distance, Rank: l.rank(), Line: l.Repair.Line, Spread: p.Spread - r.Spread,
		Colour: colour.DeltaE2000(r.Mean, p.Mean), Ground: colour.DeltaE2000(r.Ground, p.Ground), Figure: colour.DeltaE2000(r.Figure, p.Figure),
		ColourResidual: l.colourResidual(r.Mean, aspectColour), groundResidual: l.colourResidual(r.Ground, aspectGround),
		figureResidual: l.colourResidual(r.Figure, aspectFigure), spreadResidual: l.spreadResidual(), lineResidual: l.residual(aspectEdge)[0],
	}
	if min(p.Coherence, r.Coherence) > grainSure && min(p.Spread, r.Spread) >= seenSpread { // a turn of grain that hardly shows is not seen
		v.Turned = turned(p.Along, r.Along)
	}
	v.Seen = v.Rank.unlike() && (v.seesColour() || v.seesSpread() || v.seesLine() || v.seesTurn())
	return v
}

// residual returns what of the repair lies outside the ellipsoid of ellipsoidShare of the patches in one aspect. A
// patch may be as much lighter than its ring as wood often is, and only a little redder, as it never is: then
// the redness is the residual.
func (l *Appearance) residual(aspect string) [3]float64 {
	distances := make([]float64, len(l.Patches))
	patches := stat.Moments{Floor: aspectFloor}
	for i := range l.Patches {
		patches.Add(aspectOf(&l.Patches[i], aspect))
	}
	for i := range l.Patches {
		distances[i] = patches.Distance(aspectOf(&l.Patches[i], aspect))
	}
	return patches.ResidualOutside(aspectOf(&l.Repair, aspect), stat.Quantile(distances, ellipsoidShare))
}

// colourResidual returns the residual of a colour in ΔE00 from that of the ring.
func (l *Appearance) colourResidual(ring colour.Lab, aspect string) float64 {
	by := l.residual(aspect)
	return colour.DeltaE2000(ring, colour.Lab{L: ring.L + by[0], A: ring.A + by[1], B: ring.B + by[2]})
}

// spreadResidual returns the residual of the spread in L*: its aspect is a logarithm of ratios.
func (l *Appearance) spreadResidual() float64 {
	by := l.residual(aspectSpread)[0]
	if by == 0 {
		return 0
	}
	is := l.Repair.Patch.Spread + spreadFloor
	return is - is/math.Exp(by)
}

func (v *View) seesColour() bool {
	return v.ColourResidual >= seenColour || v.groundResidual >= seenQuarter || v.figureResidual >= seenQuarter
}

func (v *View) seesSpread() bool { return math.Abs(v.spreadResidual) >= seenSpread }

func (v *View) seesLine() bool { return math.Abs(v.lineResidual) >= seenLine }

func (v *View) seesTurn() bool {
	return v.Rank.unlikeIn(aspectDirection) && math.Abs(v.Turned) > seenTurn
}

// Why is what makes a repair unlike its wood, the most unlike first. l is what the view is of.
func (v *View) Why(l *Appearance) (all []fault.Note) {
	say := func(code fault.Code, values ...any) { all = append(all, fault.Say(code, values...)) }
	p, r, unlike := &l.Repair.Patch, &l.Repair.Ring, v.Rank.unlikeIn
	if unlike(aspectColour) && v.Colour >= seenColour {
		say("view.colour", "difference", colour.DescribeDifference(r.Mean, p.Mean), "delta", v.Colour)
	}
	if (unlike(aspectSpread) || unlike(aspectGrain)) && math.Abs(v.Spread) >= seenSpread/2 {
		if v.Spread < 0 {
			say("view.flat", "spread", p.Spread, "of-wood", r.Spread)
		} else {
			say("view.lively", "spread", p.Spread, "of-wood", r.Spread)
		}
	}
	if unlike(aspectEdge) && math.Abs(v.Line) >= seenLine/2 {
		if v.Line > 0 {
			say("view.light-edge", "line", v.Line)
		} else {
			say("view.dark-edge", "line", -v.Line)
		}
	}
	if unlike(aspectDirection) && math.Abs(v.Turned) > toldTurn {
		say("view.turned", "degrees", math.Abs(v.Turned))
	}
	if len(all) == 0 && unlike(aspectGround) && v.Ground >= seenColour {
		say("view.lightest-parts", "difference", colour.DescribeDifference(r.Ground, p.Ground), "delta", v.Ground)
	}
	if len(all) == 0 && unlike(aspectFigure) && v.Figure >= seenColour {
		say("view.darkest-parts", "difference", colour.DescribeDifference(r.Figure, p.Figure), "delta", v.Figure)
	}
	return all
}
