package report

import (
	"fmt"
	"io"
	"math"

	"huewright/internal/record"
)

// ScoresText writes how good predictions have been.
func (s Style) ScoresText(w io.Writer, r *record.Scores) error {
	p := page{Style: s}
	if r.All.Results == 0 {
		p.wrapped("", "nothing that was foreseen has come to pass yet: record a plan with --piece, lay a coat, photograph it, add it "+
			"as [[area.laid]], and plan again")
		return p.writeTo(w)
	}
	p.line("what was foreseen, and what came")
	p.line("")
	name := max(3, longest(r.Coatings, func(c record.CoatingScore) string { return c.Coating }))
	p.line("  %s  pieces  colours  ΔE00 off  within ±   on the whole", pad("", name))
	for _, c := range append(r.Coatings, r.All) {
		title := c.Coating
		if title == "" {
			title = "all"
		}
		words := c.Words
		if math.Abs(c.Off.L) < 0.5 && math.Abs(c.Off.A) < 0.5 && math.Abs(c.Off.B) < 0.5 {
			words = "right"
		}
		lead := fmt.Sprintf("  %s  %6d  %7d  %8.1f  %3d of %-3d  ", pad(title, name), c.Pieces, c.Results, c.DeltaE, c.Within, c.Results)
		p.wrapped(lead, words)
	}
	p.line("")
	p.wrapped("  ", "± is what was stated to hold 95 times in 100")
	if n := len(r.Counts); n > 0 {
		p.wrapped("  ", fmt.Sprintf("counts of coats on %s that are done: %d right, %d right or one off, %d within the range that was "+
			"to hold 80 times in 100", howMany(n, "area", "areas"), r.Exact, r.NearlySo, r.InRange))
	}
	p.wrapped("  ", s.BiasWords(r.Bias.Film, r.Bias.Wider, r.Pieces))
	return p.writeTo(w)
}

// BiasWords say what is allowed for in plans, from so many pieces.
func (s Style) BiasWords(film, wider float64, pieces int) string {
	if pieces == 0 {
		return "nothing is allowed for yet"
	}
	percent := 100 * (math.Exp(film) - 1)
	from := howMany(pieces, "piece", "pieces")
	const worth = 3.0 // per cent
	than := "thicker"
	if percent < 0 {
		than = "thinner"
	}
	biased, widened := math.Abs(percent) > worth, wider > 1.05
	switch {
	case biased && widened:
		return fmt.Sprintf("over %s coats came out %.0f %% %s than foreseen, and strayed more than stated: "+
			"plans allow for both, with ranges %.1f times as wide", from, math.Abs(percent), than, wider)
	case biased:
		return fmt.Sprintf("over %s coats came out %.0f %% %s than foreseen: plans allow for it", from, math.Abs(percent), than)
	case widened:
		return fmt.Sprintf("over %s colours strayed more than stated: plans have ranges %.1f times as wide", from, wider)
	}
	return fmt.Sprintf("over %s coats came out as foreseen: nothing needs to be allowed for", from)
}
