package report

import (
	"fmt"
	"html"
	"math"

	"huewright/colour"
	"huewright/internal/workshop"
)

// LabWords are a colour in figures with its ±.
func LabWords(c colour.Lab, plusMinus float64) string {
	return fmt.Sprintf("L* %.1f a* %.1f b* %.1f ± %.1f", c.L, math.Round(10*c.A)/10+0, math.Round(10*c.B)/10+0, plusMinus)
}

// HexOf is a colour as a screen is told it.
func HexOf(c colour.Lab) string { return CardSwatch{Lab: c}.Hex() }

// PlanChart draws the difference of an area to what it is to come to, against coats: a line, the band
// that holds 80 times in 100, the tolerance, and marks where to stop and look and what is put forward.
// It is SVG in the colours of the text round it; tolerance is in ΔE00.
func PlanChart(r *workshop.PlanResult, a *workshop.AreaPlan) string {
	const width, height, left, right, top, foot = 440.0, 270.0, 44.0, 14.0, 36.0, 46.0
	_, steps, stop, _ := a.Counted(r)
	planned := r.Planned(a)
	if a.Plan != nil {
		steps = append(append(steps[:0:0], steps...), a.Plan.OneMore)
	}
	tolerance := r.Piece.Tolerance
	if tolerance == 0 {
		tolerance = 2
	}
	highest := tolerance * 1.5
	for _, s := range steps {
		highest = max(highest, s.High, s.DeltaE)
	}
	every := niceStep(highest)
	highest = every * math.Ceil(highest/every)
	n := max(1, len(steps)-1)
	x := func(coats int) float64 { return left + (width-left-right)*float64(coats)/float64(n) }
	y := func(d float64) float64 { return top + (height-top-foot)*(1-d/highest) }
	var p page
	p.line(`<svg class="chart" viewBox="0 0 %.0f %.0f" role="img" aria-label="%s" fill="currentColor" font-size="15">`, width, height,
		html.EscapeString(fmt.Sprintf("%s: difference to the target after each coat, from %.1f now to %.1f after %s", a.Area.Name, steps[0].DeltaE, steps[min(planned, len(steps)-1)].DeltaE, coatWords(planned))))
	for v := 0.0; v <= highest+1e-9; v += every {
		p.line(`<line x1="%.1f" x2="%.1f" y1="%.1f" y2="%.1f" stroke="currentColor" stroke-opacity=".18"/>`, left, width-right, y(v), y(v))
		p.line(`<text x="%.1f" y="%.1f" text-anchor="end">%g</text>`, left-8, y(v)+5, v)
	}
	for i := range steps {
		p.line(`<text x="%.1f" y="%.1f" text-anchor="middle">%d</text>`, x(i), height-foot+22, i)
	}
	p.line(`<text x="%.1f" y="%.1f" text-anchor="middle">coats</text>`, (left+width-right)/2, height-6)
	p.line(`<text x="4" y="18">ΔE00</text>`)
	band, back := "", ""
	for i, s := range steps {
		band += fmt.Sprintf("%.1f,%.1f ", x(i), y(s.Low))
		back = fmt.Sprintf("%.1f,%.1f ", x(i), y(s.High)) + back
	}
	p.line(`<polygon points="%s" fill-opacity=".16"/>`, band+back)
	p.line(`<line x1="%.1f" x2="%.1f" y1="%.1f" y2="%.1f" stroke="currentColor" stroke-dasharray="3 5"/>`, left, width-right, y(tolerance), y(tolerance))
	// Under the end of the path that is further from it.
	from, anchor := left+4, "start"
	if len(steps) > 1 && steps[0].DeltaE < steps[len(steps)-1].DeltaE {
		from, anchor = width-right, "end"
	}
	p.line(`<text x="%.1f" y="%.1f" text-anchor="%s" font-size="13">counts as reached</text>`, from, y(tolerance)-5, anchor)
	line := ""
	for i, s := range steps {
		line += fmt.Sprintf("%.1f,%.1f ", x(i), y(s.DeltaE))
	}
	p.line(`<polyline points="%s" fill="none" stroke="currentColor" stroke-width="2.5"/>`, line)
	for i, s := range steps {
		p.line(`<circle cx="%.1f" cy="%.1f" r="9" fill="%s" stroke="currentColor" stroke-width="1.5"/>`, x(i), y(s.DeltaE), HexOf(s.Lab))
	}
	if planned < len(steps) {
		p.line(`<text x="%.1f" y="%.1f" text-anchor="%s" font-weight="bold">put forward</text>`, x(planned), y(steps[planned].DeltaE)-16, anchorAt(planned, n))
	}
	if stop > 0 && stop < planned {
		p.line(`<line x1="%.1f" x2="%.1f" y1="%.1f" y2="%.1f" stroke="currentColor" stroke-width="1.5" stroke-dasharray="7 4"/>`, x(stop), x(stop), top-8, height-foot)
		p.line(`<text x="%.1f" y="%.1f" text-anchor="%s" font-size="13">stop and look</text>`, x(stop), top-14, anchorAt(stop, n))
	}
	p.line(`</svg>`)
	return p.String()
}

// anchorAt keeps a text from running off a side.
func anchorAt(i, n int) string {
	switch i {
	case 0:
		return "start"
	case n:
		return "end"
	}
	return "middle"
}

// niceStep is how far lines lie apart on an axis that reaches so far.
func niceStep(reach float64) float64 {
	for _, step := range []float64{1, 2, 5, 10, 20} {
		if reach/step <= 6 {
			return step
		}
	}
	return 50
}
