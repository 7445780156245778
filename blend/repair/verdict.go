package repair

import (
	"fmt"
	"math"

	"huewright/colour"
)

// A Verdict on a repair; one of the four below.
type Verdict string

// The four honest answers.
const (
	Reads    Verdict = "reads as this wood"
	Slight   Verdict = "unlike, but too slight to see"
	ShowNear Verdict = "shows from near, not from far"
	Shows    Verdict = "shows"
)

// Distances in millimetres from which woodwork is judged, by its grade (24, 48 and 72 inches): an
// architectural woodwork standard's "inconspicuous".
var Distances = []float64{610, 1219, 1829}

// Least differences that an eye sees. In colour what is perceptible side by side; the others are
// our own choice: texture hides lightness, so they are as large as a just acceptable colour.
const (
	seenColour  = colour.Perceptible
	seenQuarter = 1.8 * colour.Perceptible // of the lightest or darkest quarter alone
	seenSpread  = 0.8                      // L*, of standard deviations
	seenLine    = 1.0                      // L*
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

	// What of these is beyond the usual in this wood; only that tells a repair.
	ColourResidual, groundResidual, figureResidual float64 // ΔE00
	spreadResidual, lineResidual                   float64 // L*
}

// ViewFrom judges a look from a distance.
func (l *Appearance) ViewFrom(distance float64) View {
	p, r := &l.Repair.Patch, &l.Repair.Ring
	s := View{
		Distance: distance, Rank: l.Rank(), Line: l.Repair.Line, Spread: p.Spread - r.Spread,
		Colour: colour.DeltaE2000(r.Mean, p.Mean), Ground: colour.DeltaE2000(r.Ground, p.Ground), Figure: colour.DeltaE2000(r.Figure, p.Figure),
	}
	s.ColourResidual = residualDeltaE(r.Mean, l.residual(aspectColour))
	s.groundResidual, s.figureResidual = residualDeltaE(r.Ground, l.residual(aspectGround)), residualDeltaE(r.Figure, l.residual(aspectFigure))
	s.spreadResidual, s.lineResidual = l.spreadResidual(), l.residual(aspectEdge)[0]
	if min(p.Coherence, r.Coherence) > grainSure && min(p.Spread, r.Spread) >= seenSpread { // a turn of grain that hardly shows is not seen
		s.Turned = turned(p.Along, r.Along)
	}
	s.Seen = s.Rank.Unlike() && (s.seesColour() || s.seesSpread() || s.seesLine() || s.seesTurn())
	return s
}

// grainSure is the coherence from which a direction is one.
const grainSure = 0.25

func (s *View) outstanding(aspect string) bool { return s.Rank.ByAspect[aspect] > unlikeFrom }

func (s *View) seesColour() bool {
	return s.ColourResidual >= seenColour || s.groundResidual >= seenQuarter || s.figureResidual >= seenQuarter
}

func (s *View) seesSpread() bool { return math.Abs(s.spreadResidual) >= seenSpread }

func (s *View) seesLine() bool { return math.Abs(s.lineResidual) >= seenLine }

func (s *View) seesTurn() bool { return s.outstanding(aspectDirection) && math.Abs(s.Turned) > 15 }

// Judge says what of a repair shows, as it is and from Distances. far is empty where the scale is
// not known.
func Judge(near View, far []View) Verdict {
	switch {
	case !near.Rank.Unlike():
		return Reads
	case !near.Seen:
		return Slight
	case len(far) == 0:
		return Shows
	case !far[0].Seen:
		return Slight // not even from the nearest that woodwork is judged from
	case !far[len(far)-1].Seen:
		return ShowNear
	}
	return Shows
}

// Why says in plain words what makes a repair unlike its wood, the most unlike first.
func (s *View) Why(l *Appearance) (all []string) {
	say := func(format string, args ...any) { all = append(all, fmt.Sprintf(format, args...)) }
	p, r := &l.Repair.Patch, &l.Repair.Ring
	if s.outstanding(aspectColour) && s.Colour >= seenColour {
		say("it is %s than the wood (ΔE00 %.1f)", colour.DescribeDifference(r.Mean, p.Mean), s.Colour)
	}
	if (s.outstanding(aspectSpread) || s.outstanding(aspectGrain)) && math.Abs(s.Spread) >= seenSpread/2 {
		if s.Spread < 0 {
			say("it is flat where the wood has figure (L* varies by %.1f, the wood's by %.1f)", p.Spread, r.Spread)
		} else {
			say("it is livelier than the wood (L* varies by %.1f, the wood's by %.1f)", p.Spread, r.Spread)
		}
	}
	if s.outstanding(aspectEdge) && math.Abs(s.Line) >= seenLine/2 {
		shade := "lighter"
		if s.Line < 0 {
			shade = "darker"
		}
		say("its edge shows as a %s line (L* %+.1f)", shade, s.Line)
	}
	if s.outstanding(aspectDirection) && math.Abs(s.Turned) > 8 {
		say("its grain runs %.0f° off the wood's", math.Abs(s.Turned))
	}
	if len(all) == 0 && s.outstanding(aspectGround) && s.Ground >= seenColour {
		say("its lightest parts are %s than the wood's (ΔE00 %.1f)", colour.DescribeDifference(r.Ground, p.Ground), s.Ground)
	}
	if len(all) == 0 && s.outstanding(aspectFigure) && s.Figure >= seenColour {
		say("its darkest parts are %s than the wood's (ΔE00 %.1f)", colour.DescribeDifference(r.Figure, p.Figure), s.Figure)
	}
	return all
}
