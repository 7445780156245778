package colour

import (
	"cmp"
	"math"
	"slices"

	"huewright/internal/fault"
)

// Perceptible is the difference, in CIEDE2000, that half of all people see between two uniform samples side by
// side, and acceptable the one that half of them let pass. Texture hides more.
//
// Source: Paravina et al. (2015), J. Esthet. Restor. Dent. 27, S1–S9, the 50:50 thresholds.
const (
	Perceptible = 0.8
	acceptable  = 1.8
)

// grades are the sizes that one component of a difference is told in, each from a size in
// CIEDE2000 units on. They are our own choice; only "little" has a source, acceptable.
var grades = []struct {
	from  float64
	grade string
}{
	{10, "much"},
	{4, "clear"},
	{acceptable, "little"},
	{0, "touch"},
}

const (
	leastSaid  = 0.6  // a component below this goes unsaid beside a larger one, CIEDE2000 units
	leastShare = 0.15 // and so does one below this share of the largest

	leastHue    = 8.0 // chroma below which a colour has no hue worth naming
	largestTurn = 60  // degrees of hue beyond which two colours share none
)

// NoDifference is the code of a difference that nobody sees.
const NoDifference fault.Code = "colour.no-difference"

// DescribeDifference tells how sample differs from ref: colour.difference with its changes, the largest first, each
// with its grade, much, clear, little or touch; NoDifference below Perceptible.
//
// Where both colours have a hue, and much the same one, the changes are of lightness, hue and
// strength: all of a stronger red is stronger, none of it redder, and where a change runs
// along one axis, as when only b* grows, it is yellower and not stronger as well. Otherwise
// hue and strength give way to how much redder or greener, yellower or bluer it is. Exchanging
// the colours exchanges each change for its opposite and nothing else.
func DescribeDifference(ref, sample Lab) fault.Note {
	if DeltaE2000(ref, sample) < Perceptible {
		return fault.Say(NoDifference)
	}
	components := describe(ref, sample)
	slices.SortStableFunc(components, func(p, q component) int { return cmp.Compare(q.size, p.size) })
	var changes []fault.Note
	for i, c := range components {
		if i > 0 && (c.size < leastSaid || c.size < leastShare*components[0].size) {
			break
		}
		changes = append(changes, fault.Say(c.way, "grade", grade(c.size)))
	}
	return fault.Say("colour.difference", "changes", changes)
}

func grade(size float64) string {
	for _, g := range grades {
		if size >= g.from {
			return g.grade
		}
	}
	return grades[len(grades)-1].grade
}

// A component of a difference has a size in CIEDE2000 units and a direction.
type component struct {
	size float64
	way  fault.Code
}

func describe(ref, sample Lab) []component {
	d := newCIEDE2000(ref, sample)
	lightness := component{math.Abs(d.l), either(d.l, "colour.lighter", "colour.darker")}
	aWay, bWay := redGreen.way(ref.A, sample.A), yellowBlue.way(ref.B, sample.B)
	if d.leastC < leastHue || math.Abs(d.turn) > largestTurn {
		return []component{lightness, {math.Abs(d.a), aWay}, {math.Abs(d.b), bWay}}
	}
	way, repeats := hueWay(d, aWay, bWay, sample.A-ref.A, sample.B-ref.B)
	chroma := component{math.Abs(d.c), either(d.c, "colour.stronger", "colour.duller")}
	hue := component{math.Abs(d.h), way}
	switch {
	case !repeats:
		return []component{lightness, hue, chroma}
	case hue.size < leastSaid || hue.size < chroma.size/4:
		return []component{lightness, chroma}
	default:
		return []component{lightness, {math.Hypot(d.h, d.c), way}}
	}
}

// hueWay names a turn of hue by the axis, red–green or yellow–blue, that the turn runs along. Where a
// change of chroma at the same time carries the colour the other way on that axis (it never does on both),
// it takes the other: chroma itself runs along that one, and repeats reports that "yellower" there only
// repeats "stronger".
func hueWay(d ciede2000, aWay, bWay fault.Code, dA, dB float64) (way fault.Code, repeats bool) {
	sin, cos := math.Sincos(d.meanH * degree)
	agreesA, agreesB := -sin*d.turn*dA > 0, cos*d.turn*dB > 0
	alongA := math.Abs(sin) > math.Abs(cos)
	if agreesA && (alongA || !agreesB) {
		return aWay, !alongA
	}
	return bWay, alongA
}

func either(v float64, positive, negative fault.Code) fault.Code {
	if v > 0 {
		return positive
	}
	return negative
}

// opponents are the two hues at the ends of the a* or b* axis.
type opponents struct{ more, less, moreOpposite, lessOpposite fault.Code }

var (
	redGreen   = opponents{"colour.redder", "colour.less-red", "colour.greener", "colour.less-green"}
	yellowBlue = opponents{"colour.yellower", "colour.less-yellow", "colour.bluer", "colour.less-blue"}
)

// way names a change along the axis. A red that stays red does not become greener but less
// red, unless it goes at least a quarter of the change beyond grey.
func (o opponents) way(from, to float64) fault.Code {
	change, side := to-from, from+to
	switch {
	case change > 0 && side < -change/2:
		return o.lessOpposite
	case change > 0:
		return o.more
	case side > -change/2:
		return o.less
	default:
		return o.moreOpposite
	}
}
