package colour

import (
	"cmp"
	"math"
	"slices"
	"strings"
)

// How large a difference is, in CIEDE2000, to an eye that has two uniform samples side by
// side. Texture hides more.
//
// Source: Paravina et al. (2015), J. Esthet. Restor. Dent. 27, S1–S9, the 50:50 thresholds.
const (
	Perceptible = 0.8 // half of all people see it
	Acceptable  = 1.8 // half of all people let it pass
)

// SizeOf says what a difference of deltaE (CIEDE2000) amounts to: "not seen", "seen side by
// side" or "a different colour". Finished wood is held to be another colour from about 2 ΔE*ab
// (common practice, no source), which is where Acceptable ends.
func SizeOf(deltaE float64) string {
	switch {
	case deltaE < Perceptible:
		return "not seen"
	case deltaE < Acceptable:
		return "seen side by side"
	default:
		return "a different colour"
	}
}

// sizes are the words for the size of one part of a difference, each good from a size in
// CIEDE2000 units on. They are our own choice; only the first step has a source, Acceptable.
var sizes = []struct {
	from float64
	word string
}{
	{10, "much"},
	{4, "clearly"},
	{Acceptable, "a little"},
	{0, "a touch"},
}

const (
	leastSaid  = 0.6  // a part below this goes unsaid beside a larger one, CIEDE2000 units
	leastShare = 0.15 // and so does one below this share of the largest

	leastHue    = 8.0 // chroma below which a colour has no hue worth naming
	largestTurn = 60  // degrees of hue beyond which two colours share none
)

// DescribeDifference says how sample differs from ref in a bench's words, the largest part
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
	parts := describe(ref, sample)
	slices.SortStableFunc(parts, func(p, q part) int { return cmp.Compare(q.size, p.size) })
	var said []string
	for i, p := range parts {
		if i > 0 && (p.size < leastSaid || p.size < leastShare*parts[0].size) {
			break
		}
		said = append(said, sizeWord(p.size)+" "+p.word)
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

// A part of a difference: its size in CIEDE2000 units and its direction.
type part struct {
	size float64
	word string
}

func describe(ref, sample Lab) []part {
	d := partsOf2000(ref, sample)
	parts := []part{{math.Abs(d.l), either(d.l, "lighter", "darker")}}
	aWord := redGreen.word(ref.A, sample.A)
	bWord := yellowBlue.word(ref.B, sample.B)
	if d.leastC < leastHue || math.Abs(d.turn) > largestTurn {
		return append(parts, part{math.Abs(d.a), aWord}, part{math.Abs(d.b), bWord})
	}
	hue, repeats := hueWord(d, aWord, bWord, sample.A-ref.A, sample.B-ref.B)
	stronger := part{math.Abs(d.c), either(d.c, "stronger", "duller")}
	turned := part{math.Abs(d.h), hue}
	switch {
	case !repeats:
		return append(parts, turned, stronger)
	case turned.size < leastSaid || turned.size < stronger.size/4:
		return append(parts, stronger)
	default:
		return append(parts, part{math.Hypot(d.h, d.c), hue})
	}
}

// hueWord tells a turn of hue by red and green or by yellow and blue, whichever the turn runs
// along, unless a change of chroma at the same time carries the colour the other way there; it
// never does so on both. What is left is then the axis that chroma itself runs along, where
// "yellower" only repeats "stronger".
func hueWord(d parts2000, aWord, bWord string, dA, dB float64) (word string, repeats bool) {
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
