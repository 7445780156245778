package report

import (
	"fmt"
	"io"
	"strings"

	"huewright/colour"
	"huewright/internal/workshop"
)

// unevenLeft is the share of uneven light that may be left in a photo before it is spoken of. Our own choice.
const unevenLeft = 0.03

// paperFrom is the L* from which a card is called paper. Our own choice.
const paperFrom = 80.0

// reference says what a photo's colours stand on.
func (s Style) reference(c *workshop.Calibration) string {
	if c.White != "" && c.Reference != "chart" {
		return s.rawWhite(c)
	}
	switch c.Reference {
	case "chart":
		how := "badly"
		switch {
		case c.Report.LOOMean <= workshop.WellRead:
			how = "well"
		case c.Report.LOOMean <= workshop.FairlyRead:
			how = "fairly"
		}
		if c.Found {
			return s.say("measure.chart-found", "how", how, "seen", seen(c.Report.LOOMean))
		}
		return s.say("measure.chart", "how", how, "seen", seen(c.Report.LOOMean))
	case "grey":
		if c.Card >= paperFrom {
			return s.say("measure.paper")
		}
		return s.say("measure.grey")
	case "neutral":
		return s.say("measure.paper")
	}
	for _, w := range c.Warnings {
		if w.Code == "photo.relative-only" {
			return "" // it says the same, and what to do
		}
	}
	return s.say("measure.none")
}

// rawWhite says what the white of a raw photo was told by; "" of other photos.
func (s Style) rawWhite(c *workshop.Calibration) string {
	by := c.White
	switch {
	case by == "":
		return ""
	case by == "neutral", by == "grey" && c.Card >= paperFrom:
		by = "paper"
	}
	return s.say("measure.raw", "by", by)
}

// light says how even the light on a photo was.
func (s Style) light(l *workshop.LightReport) string {
	if l == nil || !s.Full && l.Left < unevenLeft {
		return ""
	}
	if l.By == "neutrals" {
		return s.say("measure.light-slips", "changes", l.Found, "slips", len(l.Neutrals), "left", l.Left)
	}
	return s.say("measure.light-sheet", "changes", l.Found, "left", l.Left)
}

// verdict says in one line whether a photo is good to measure from, and what its colours stand on.
func (s Style) verdict(v workshop.Verdict, c *workshop.Calibration) string {
	line := s.say("verdict.line", "answer", v.Answer, "why", v.Why)
	if v.Why.Code == "verdict.relative" {
		return sentences(line, s.rawWhite(c))
	}
	return sentences(line, s.reference(c))
}

// calibration says what a photo's colours stand on, beside its verdict.
func (p *page) calibration(lead string, c *workshop.Calibration) {
	if says := sentences(p.Say(c.SlipsNote()), p.light(c.Light)); says != "" {
		p.wrapped(lead, says)
	}
	if p.Full && c.Reference == "chart" {
		used := 0
		for _, patch := range c.Report.Patches {
			if patch.Used {
				used++
			}
		}
		p.wrapped(lead, p.say("measure.chart-figures",
			"used", used, "patches", len(c.Report.Patches), "mean", c.Report.LOOMean, "most", c.Report.LOOP95, "fit", c.Report.MeanDeltaE))
		if c.Found {
			p.wrapped(lead, p.say("measure.chart-place", "place", c.Place()))
		}
	}
	p.warnings(lead, c.Warnings)
}

// MeasureText writes a measurement for a terminal.
func (s Style) MeasureText(w io.Writer, m *workshop.MeasureResult) error {
	if s.Quiet {
		return s.quietMeasure(w, m)
	}
	p := page{Style: s}
	p.measure(m)
	return p.writeTo(w)
}

func (p *page) measure(m *workshop.MeasureResult) {
	p.line("%s", m.Photo)
	p.wrapped("  ", p.verdict(m.Verdict(), &m.Calibration))
	name := longest(m.Areas, func(a workshop.AreaReading) string { return a.Name })
	for i := range m.Areas {
		p.area(&m.Areas[i], name)
	}
	more := page{Style: p.Style}
	more.calibration("  ", &m.Calibration)
	if p.Full {
		more.wrapped("  ", p.say("measure.figures"))
	}
	if more.Len() > 0 {
		p.line("")
		p.WriteString(more.String())
	}
}

// area writes one area's colour, its name name wide.
func (p *page) area(a *workshop.AreaReading, name int) {
	r := &a.Reading
	size := ""
	if a.SquareMetres > 0 {
		size = p.say("measure.size", "size", a.SquareMetres)
	}
	p.colourRow(a.Name, name, r.Mean, joined(", ", fmt.Sprintf("± %.1f", r.PlusMinus), p.sure(r.PlusMinus), size))
	const in = "    "
	if p.Full {
		p.wrapped(in, fmt.Sprintf("grain: L* %.1f, a* %.1f, b* %.1f about the mean; %s", r.Spread[0], r.Spread[1], r.Spread[2], pixels(r)))
		for _, quarter := range []struct {
			name string
			c    colour.Lab
		}{{"lightest quarter", r.Ground}, {"darkest quarter", r.Figure}} {
			p.hanging(in+swatch(quarter.c)+" ", len(in)+swatchWidth+1, inLine(quarter.c)+", "+quarter.name)
		}
	}
	p.warnings(in, r.Warnings)
}

func pixels(r *colour.Reading) string {
	s := fmt.Sprintf("%d pixels", r.Pixels)
	if total := float64(r.Pixels + r.Dropped.Glare + r.Dropped.Gaps); r.Dropped.Glare+r.Dropped.Gaps > 0 {
		s += fmt.Sprintf("; left out: glare %.1f %%, gaps %.1f %%",
			100*float64(r.Dropped.Glare)/total, 100*float64(r.Dropped.Gaps)/total)
	}
	return s
}

// difference says how visible a difference is, and writes its figures. what says which way it goes.
func (p *page) difference(indent, what string, d *workshop.Difference) {
	figure := fmt.Sprintf("CIEDE2000 %.1f", d.DeltaE2000)
	if d.PlusMinus > 0 {
		figure += fmt.Sprintf(" ± %.1f", d.PlusMinus)
	}
	p.wrapped(indent, sentences(what, p.say("compare.visible", "seen", seen(d.DeltaE2000), "figure", figure)))
	if p.Full {
		p.wrapped(indent, fmt.Sprintf("CIE76 %.1f, CIE94 %.1f, CMC(2:1) %.1f", d.DeltaE76, d.DeltaE94, d.DeltaECMC))
	}
}

// beside says how the colour of one thing differs from that of another.
func (s Style) beside(name string, sample colour.Lab, other string, ref colour.Lab) string {
	if colour.DeltaE2000(ref, sample) < colour.Perceptible {
		return s.say("compare.alike", "name", name, "other", other)
	}
	return s.say("compare.beside", "name", name, "how", differs(ref, sample), "other", other)
}

// ApartWords say how the colour of one thing differs from that of another, and how visible that is.
func (s Style) ApartWords(name string, sample colour.Lab, other string, ref colour.Lab) string {
	d := colour.DeltaE2000(ref, sample)
	return sentences(s.beside(plainName(name), sample, plainName(other), ref), s.say("compare.visible", "seen", seen(d), "figure", deltaE(d)))
}

// DifferenceText writes the difference between two typed colours for a terminal.
func (s Style) DifferenceText(w io.Writer, ref, sample colour.Lab, d workshop.Difference) error {
	p := page{Style: s}
	if s.Quiet {
		p.line("%.1f", d.DeltaE2000)
		return p.writeTo(w)
	}
	first, second := p.say("compare.first"), p.say("compare.second")
	p.difference("", p.beside(second, sample, first, ref), &d)
	p.line("")
	p.colourRow(first, max(len(first), len(second)), ref, "")
	p.colourRow(second, max(len(first), len(second)), sample, "")
	return p.writeTo(w)
}

// CompareText writes the differences of areas from a target for a terminal.
func (s Style) CompareText(w io.Writer, c *workshop.CompareResult) error {
	if s.Quiet {
		return s.quietCompare(w, c)
	}
	p := page{Style: s}
	p.line("%s", c.Photo)
	target := p.say("compare.target")
	row := target
	if c.TargetName != "" {
		target, row = plainName(c.TargetName), c.TargetName
	}
	name := max(longest(c.Areas, func(a workshop.AreaReading) string { return a.Name }), len(row))
	for i := range c.Areas {
		a := &c.Areas[i]
		if a.Name == c.TargetName {
			continue
		}
		p.difference("  ", p.beside(plainName(a.Name), a.Reading.Mean, target, c.Target), &c.Differences[i])
	}
	p.line("")
	what := ""
	if c.TargetName != "" {
		what = p.say("compare.the-target")
	}
	p.colourRow(row, name, c.Target, what)
	for i := range c.Areas {
		if a := &c.Areas[i]; a.Name != c.TargetName {
			p.area(a, name)
		}
	}
	p.line("")
	p.wrapped("  ", p.verdict(c.Verdict(), &c.Calibration))
	p.calibration("  ", &c.Calibration)
	return p.writeTo(w)
}

// joined joins the texts that say something.
func joined(by string, texts ...string) string {
	var all []string
	for _, t := range texts {
		if t != "" {
			all = append(all, t)
		}
	}
	return strings.Join(all, by)
}
