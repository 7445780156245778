package colour

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// Perceptible is the difference, in CIEDE2000, that half of all people see between two uniform samples side by
// side, and acceptable the one that half of them let pass. Texture hides more.
//
// Source: Paravina et al. (2015), J. Esthet. Restor. Dent. 27, S1–S9, the 50:50 thresholds.
const (
	Perceptible = 0.8
	acceptable  = 1.8
)

// sizes are the words for the size of one component of a difference, each from a size in
// CIEDE2000 units on. They are our own choice; only "a little" has a source, acceptable.
var sizes = []struct {
	from float64
	word string
}{
	{10, "much"},
	{4, "clearly"},
	{acceptable, "a little"},
	{0, "a touch"},
}

const (
	leastSaid  = 0.6  // a component below this goes unsaid beside a larger one, CIEDE2000 units
	leastShare = 0.15 // and so does one below this share of the largest

	leastHue    = 8.0 // chroma below which a colour has no hue worth naming
	largestTurn = 60  // degrees of hue beyond which two colours share none
)

// DescribeDifference says how sample differs from ref in a bench's words, the largest component
// first: "much lighter, a little less red, a touch duller". Below Perceptible it says "no
// difference to see".
//
// Where both colours have a hue, and much the same one, the words are for lightness, hue and
// strength: all of a stronger red is stronger, none of it redder, and where a change runs
// along one axis, as when only b* grows, it is yellower and not stronger as well. Otherwise
// hue and strength give way to how much redder or greener, yellower or bluer it is. Exchanging
// the colours exchanges each word for its opposite and nothing else.
func DescribeDifference(ref, sample Lab) string {
	if DeltaE2000(ref, sample) < Perceptible {
		return "no difference to see"
	}
	components := describe(ref, sample)
	slices.SortStableFunc(components, func(p, q component) int { return cmp.Compare(q.size, p.size) })
	var said []string
	for i, c := range components {
		if i > 0 && (c.size < leastSaid || c.size < leastShare*components[0].size) {
			break
		}
		said = append(said, sizeWord(c.size)+" "+c.word)
	}
	return strings.Join(said, ", ")
}

func sizeWord(size float64) string {
	for _, s := range sizes {
		if size >= s.from {
			return s.word
		}
	}
	return sizes[len(sizes)-1].word
}

// A component of a difference has a size in CIEDE2000 units and a word for its direction.
type component struct {
	size float64
	word string
}

func describe(ref, sample Lab) []component {
	d := newCIEDE2000(ref, sample)
	lightness := component{math.Abs(d.l), either(d.l, "lighter", "darker")}
	aWord, bWord := redGreen.word(ref.A, sample.A), yellowBlue.word(ref.B, sample.B)
	if d.leastC < leastHue || math.Abs(d.turn) > largestTurn {
		return []component{lightness, {math.Abs(d.a), aWord}, {math.Abs(d.b), bWord}}
	}
	word, repeats := hueWord(d, aWord, bWord, sample.A-ref.A, sample.B-ref.B)
	chroma := component{math.Abs(d.c), either(d.c, "stronger", "duller")}
	hue := component{math.Abs(d.h), word}
	switch {
	case !repeats:
		return []component{lightness, hue, chroma}
	case hue.size < leastSaid || hue.size < chroma.size/4:
		return []component{lightness, chroma}
	default:
		return []component{lightness, {math.Hypot(d.h, d.c), word}}
	}
}

// hueWord names a turn of hue by the axis, red–green or yellow–blue, that the turn runs along. Where a
// change of chroma at the same time carries the colour the other way on that axis (it never does on both),
// it takes the other: chroma itself runs along that one, and repeats reports that "yellower" there only
// repeats "stronger".
func hueWord(d ciede2000, aWord, bWord string, dA, dB float64) (word string, repeats bool) {
	sin, cos := math.Sincos(d.meanH * degree)
	agreesA, agreesB := -sin*d.turn*dA > 0, cos*d.turn*dB > 0
	alongA := math.Abs(sin) > math.Abs(cos)
	if agreesA && (alongA || !agreesB) {
		return aWord, !alongA
	}
	return bWord, alongA
}

func either(v float64, positive, negative string) string {
	if v > 0 {
		return positive
	}
	return negative
}

// opponents are the two hues at the ends of the a* or b* axis.
type opponents struct{ more, less, moreOpposite, lessOpposite string }

var (
	redGreen   = opponents{"redder", "less red", "greener", "less green"}
	yellowBlue = opponents{"yellower", "less yellow", "bluer", "less blue"}
)

// word names a change along the axis. A red that stays red does not become greener but less
// red, unless it goes at least a quarter of the change beyond grey.
func (o opponents) word(from, to float64) string {
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
