package report

import (
	"huewright/blend/plan"
	"huewright/blend/schedule"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// batch says how much to mix of a coating, and what of.
func (s Style) batch(r *workshop.PlanResult, b *schedule.Batch) string {
	unsized := ""
	if n := len(b.Unsized); n > 0 {
		unsized = s.say("answer.unsized", "coating", b.Coating, "areas", b.UnsizedNames(), "n", n)
	}
	if b.Mix == 0 {
		return unsized
	}
	spare := sparePercent(r.Piece.Spare) / 100
	mix := s.say("answer.mix", "mix", b.Mix, "coating", b.Coating, "spare", spare)
	if b.Thinner > 0.5 {
		mix = s.say("answer.mix-thinned", "mix", b.Mix, "coating", b.Coating, "paint", b.Paint, "thinner", b.Thinner,
			"with", s.thinner(r, b.Coating), "spare", spare)
	}
	return sentences(mix, unsized)
}

// thinner is what a coating is thinned with.
func (s Style) thinner(r *workshop.PlanResult, coating string) string {
	family := ""
	if k := r.Piece.CoatingNamed(coating); k != nil {
		family = k.Family
	}
	return s.say("answer.thinner", "family", family)
}

// dilution is how a coating is thinned, and with what: "1 part paint to 4 parts water".
func (s Style) dilution(k *piece.Coating) string {
	d := k.Dilution
	if d == nil || d.Water == 0 {
		return s.say("answer.undiluted")
	}
	return s.say("answer.dilution", "paint", d.Paint, "thinner", d.Water, "with", s.say("answer.thinner", "family", k.Family))
}

// counted says coats in words, the undermost first, each with the range that it may need; one where they can only be of one coating.
func (s Style) counted(coats []plan.CoatCount, one bool) string {
	if len(coats) == 0 {
		return s.say("answer.no-coat")
	}
	var parts []string
	for _, c := range coats {
		of := ""
		if !one {
			of = c.Coating
		}
		parts = append(parts, s.coat(c, of))
	}
	return joined(", "+s.say("answer.after-that")+" ", parts...)
}

// countedOnly is the same without the ranges.
func (s Style) countedOnly(coats []plan.CoatCount, one bool) string {
	var only []plan.CoatCount
	for _, c := range coats {
		if c.Count > 0 {
			only = append(only, plan.CoatCount{Coating: c.Coating, Count: c.Count, Range: [2]int{c.Count, c.Count}})
		}
	}
	return s.counted(only, one)
}

func (s Style) coat(c plan.CoatCount, of string) string {
	low, high := c.Range[0], c.Range[1]
	switch {
	case c.Count == 0 && high > 0 && of == "":
		return s.say("answer.perhaps", "high", high)
	case c.Count == 0 && high > 0:
		return s.say("answer.perhaps-of", "coating", of, "high", high)
	case c.Count == 0:
		return s.say("answer.no-coat")
	case low == high && of == "":
		return s.say("answer.coats", "n", c.Count)
	case low == high:
		return s.say("answer.coats-of", "n", c.Count, "coating", of)
	case of == "":
		return s.say("answer.coats-range", "n", c.Count, "low", low, "high", high)
	}
	return s.say("answer.coats-of-range", "n", c.Count, "coating", of, "low", low, "high", high)
}

func coatsIn(coats []plan.CoatCount) (n int) {
	for _, c := range coats {
		n += c.Count
	}
	return n
}
