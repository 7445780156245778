package report

import (
	"fmt"
	"io"
	"strings"

	"huewright/colour"
	"huewright/internal/workshop"
)

// calibration says in one line what the photo's colours stand on.
func (p *page) calibration(indent string, c workshop.Calibration) {
	switch r := c.Report; c.Reference {
	case "chart":
		used := 0
		for _, patch := range r.Patches {
			if patch.Used {
				used++
			}
		}
		p.wrapped(indent, fmt.Sprintf("chart: %d of %d patches; each predicted by the others within ΔE00 %.1f on average, %.1f for 95 "+
			"of 100 (fitted %.1f)",
			used, len(r.Patches), r.LOOMean, r.LOOP95, r.MeanDeltaE))
		if c.Found {
			p.wrapped(indent, "found at "+c.Place())
		}
	case "grey":
		p.wrapped(indent, "grey card: light and exposure are corrected, the camera's own colours are not")
	case "neutral":
		p.wrapped(indent, "paper: light and exposure are corrected, the camera's own colours are not")
	default:
		p.wrapped(indent, "no reference")
	}
	if c.Light != nil {
		p.wrapped(indent, lightLine(c.Light))
	}
	p.warnings(indent, c.Warnings)
}

func lightLine(l *workshop.LightReport) string {
	by := "a blank sheet"
	if l.By == "neutrals" {
		by = howMany(len(l.Neutrals), "neutral", "neutrals")
	}
	return fmt.Sprintf("light: changes by %.0f %%, evened by %s; %.0f %% may be left", 100*l.Found, by, 100*l.Left)
}

// MeasureText writes a measurement for a terminal.
func (s Style) MeasureText(w io.Writer, m *workshop.MeasureResult) error {
	p := page{Style: s}
	p.measure(m)
	return p.writeTo(w)
}

func (p *page) measure(m *workshop.MeasureResult) {
	p.line("%s", m.Photo)
	p.calibration("  ", m.Calibration)
	p.line("")
	name := longest(m.Areas, func(a workshop.AreaReading) string { return a.Name })
	for _, a := range m.Areas {
		r := a.Reading
		p.line("  %s  %s  %s  ± %.1f", pad(a.Name, name), swatch(r.Mean), lab(r.Mean), r.PlusMinus)
		rest := strings.Repeat(" ", name+4)
		p.line("%sgrain: L* %.1f, a* %.1f, b* %.1f about the mean", rest, r.Spread[0], r.Spread[1], r.Spread[2])
		p.line("%sground %s %s   figure %s %s", rest, swatch(r.Ground), short(r.Ground), swatch(r.Figure), short(r.Figure))
		p.line("%s%s%s", rest, pixels(r), size(a.SquareMetres))
		p.warnings(rest, r.Warnings)
	}
}

func short(c colour.Lab) string { return fmt.Sprintf("%.0f %.0f %.0f", c.L, c.A, c.B) }

func size(squareMetres float64) string {
	if squareMetres == 0 {
		return ""
	}
	return fmt.Sprintf("; %.3f m²", squareMetres)
}

func pixels(r colour.Reading) string {
	s := fmt.Sprintf("%d pixels", r.Pixels)
	if total := float64(r.Pixels + r.Dropped.Glare + r.Dropped.Gaps); r.Dropped.Glare+r.Dropped.Gaps > 0 {
		s += fmt.Sprintf("; left out: glare %.1f %%, gaps %.1f %%",
			100*float64(r.Dropped.Glare)/total, 100*float64(r.Dropped.Gaps)/total)
	}
	return s
}

func (p *page) difference(indent string, d workshop.Difference) {
	sure := ""
	if d.PlusMinus > 0 {
		sure = fmt.Sprintf(" ± %.1f", d.PlusMinus)
	}
	p.wrapped(indent, fmt.Sprintf("ΔE00 %.1f%s: %s", d.DeltaE2000, sure, d.Words))
	p.line("%sCIE76 %.1f   CIE94 %.1f   CMC(2:1) %.1f", indent, d.DeltaE76, d.DeltaE94, d.DeltaECMC)
}

// DifferenceText writes the difference between two typed colours for a terminal.
func (s Style) DifferenceText(w io.Writer, ref, sample colour.Lab, d workshop.Difference) error {
	p := page{Style: s}
	p.line("  first   %s  %s", swatch(ref), lab(ref))
	p.line("  second  %s  %s", swatch(sample), lab(sample))
	p.difference("  ", d)
	return p.writeTo(w)
}

// CompareText writes the differences of areas from a target for a terminal.
func (s Style) CompareText(w io.Writer, c *workshop.CompareResult) error {
	p := page{Style: s}
	p.line("%s", c.Photo)
	p.calibration("  ", c.Calibration)
	p.line("")
	target := "target"
	if c.TargetName != "" {
		target += " " + c.TargetName
	}
	p.line("  %s  %s  %s", target, swatch(c.Target), lab(c.Target))
	for i, a := range c.Areas {
		if a.Name == c.TargetName {
			continue
		}
		p.line("")
		p.line("  %s  %s  %s  ± %.1f", a.Name, swatch(a.Reading.Mean), lab(a.Reading.Mean), a.Reading.PlusMinus)
		p.difference("    ", c.Differences[i])
		p.warnings("    ", a.Reading.Warnings)
	}
	return p.writeTo(w)
}
