package report

import (
	"io"
	"math"

	"huewright/internal/record"
)

// ScoresText writes how good predictions have been.
func (s Style) ScoresText(w io.Writer, r *record.Scores) error {
	p := page{Style: s}
	if r.All.Results == 0 {
		p.wrapped("", p.say("score.none"))
		return p.writeTo(w)
	}
	p.wrapped("", p.BiasWords(r.Bias.Film, r.Bias.Wider, r.Pieces))
	p.line("")
	name := max(3, longest(r.Coatings, func(c record.CoatingScore) string { return c.Coating }))
	for _, c := range append(r.Coatings, r.All) {
		title := c.Coating
		if title == "" {
			title = p.say("score.all")
		}
		p.wrapped("  "+pad(title, min(name, mostName))+"  ", p.score(&c))
	}
	if n := len(r.Counts); n > 0 {
		p.wrapped("  ", p.say("score.counts", "n", n, "exact", r.Exact, "nearly", r.NearlySo, "in-range", r.InRange))
	}
	p.wrapped("  ", p.say("score.figures"))
	return p.writeTo(w)
}

// leastOff is the mean difference in L*, a* or b* below which predictions are right on the whole. Our own choice.
const leastOff = 0.5

// score says how good predictions of a coating have been.
func (s Style) score(c *record.CoatingScore) string {
	way := ""
	if math.Abs(c.Off.L) >= leastOff || math.Abs(c.Off.A) >= leastOff || math.Abs(c.Off.B) >= leastOff {
		way = s.say("score.way", "how", c.Words)
	}
	return sentences(s.say("score.off", "off", c.DeltaE, "within", c.Within, "results", c.Results), way)
}

// BiasWords say what is allowed for in plans, from so many pieces.
func (s Style) BiasWords(film, wider float64, pieces int) string {
	if pieces == 0 {
		return s.say("score.no-bias")
	}
	const worth = 0.03
	more := math.Exp(film) - 1
	way := "thicker"
	if more < 0 {
		way = "thinner"
	}
	biased, widened := math.Abs(more) > worth, wider > 1.05
	switch {
	case biased && widened:
		return s.say("score.bias-wider", "pieces", pieces, "way", way, "more", math.Abs(more), "wider", wider)
	case biased:
		return s.say("score.bias", "pieces", pieces, "way", way, "more", math.Abs(more))
	case widened:
		return s.say("score.wider", "pieces", pieces, "wider", wider)
	}
	return s.say("score.as-predicted", "pieces", pieces)
}
