package picture

import (
	"fmt"
	"html"
	"math"
	"slices"

	"huewright/blend/plan"
	"huewright/internal/workshop"
)

// A scale places coats and differences on a chart, whose sizes are in the units of its view box.
type scale struct {
	coats   int     // at the right edge
	highest float64 // ΔE00 at the upper edge
}

const plotWidth, plotHeight, plotLeft, plotRight, plotTop, plotFoot = 440.0, 270.0, 50.0, 14.0, 36.0, 46.0

func (c scale) x(coats int) float64 {
	return plotLeft + (plotWidth-plotLeft-plotRight)*float64(coats)/float64(c.coats)
}

func (c scale) y(deltaE float64) float64 {
	return plotTop + (plotHeight-plotTop-plotFoot)*(1-deltaE/c.highest)
}

// Plan draws the difference of an area to what it is to come to, against coats: a line, the band
// that holds 80 times in 100, the tolerance, and marks where to stop and look and what is suggested.
// It is SVG in the colours of the text round it; tolerance is in ΔE00.
func Plan(r *workshop.PlanResult, a *workshop.AreaPlan) string {
	stop, planned := a.Plan.StopAfter, a.Planned()
	steps := append(slices.Clone(a.Plan.Path), a.Plan.OneMore)
	to := "all"
	if a.Plan.ToTarget {
		to = "target"
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
	c := scale{coats: max(1, len(steps)-1), highest: every * math.Ceil(highest/every)}
	var p drawing
	p.line(
		`<svg class="chart" viewBox="0 0 %.0f %.0f" role="img" aria-label="%s" fill="currentColor" font-size="15">`, plotWidth, plotHeight,
		html.EscapeString(say("picture.chart", "area", a.Area.Name, "to", to, "now", steps[0].DeltaE,
			"then", steps[min(planned, len(steps)-1)].DeltaE, "n", planned)),
	)
	p.grid(c, every, len(steps))
	p.steps(c, steps, tolerance)
	if planned < len(steps) {
		p.line(`<text x="%.1f" y="%.1f" text-anchor="%s" font-weight="bold">%s</text>`,
			c.x(planned), c.y(steps[planned].DeltaE)-16, anchorAt(planned, c.coats), say("picture.suggested"))
	}
	if stop > 0 && stop < planned {
		p.line(`<line x1="%.1f" x2="%.1f" y1="%.1f" y2="%.1f" stroke="currentColor" stroke-width="1.5" stroke-dasharray="7 4"/>`,
			c.x(stop), c.x(stop), plotTop-8, plotHeight-plotFoot)
		p.line(`<text x="%.1f" y="%.1f" text-anchor="%s" font-size="13">%s</text>`, c.x(stop), plotTop-14, anchorAt(stop, c.coats),
			say("picture.stop"))
	}
	p.line(`</svg>`)
	return p.String()
}

// grid draws the axes, with a line for every so many ΔE00 and a number for each of steps.
func (p *drawing) grid(c scale, every float64, steps int) {
	for v := 0.0; v <= c.highest+1e-9; v += every {
		p.line(`<line x1="%.1f" x2="%.1f" y1="%.1f" y2="%.1f" stroke="currentColor" stroke-opacity=".18"/>`,
			plotLeft, plotWidth-plotRight, c.y(v), c.y(v))
		p.line(`<text x="%.1f" y="%.1f" text-anchor="end">%g</text>`, plotLeft-13, c.y(v)+5, v)
	}
	for i := range steps {
		p.line(`<text x="%.1f" y="%.1f" text-anchor="middle">%d</text>`, c.x(i), plotHeight-plotFoot+22, i)
	}
	p.line(`<text x="%.1f" y="%.1f" text-anchor="middle">%s</text>`, (plotLeft+plotWidth-plotRight)/2, plotHeight-6, say("picture.axis"))
	p.line(`<text x="4" y="18" font-size="13">%s</text>`, say("picture.difference"))
}

// steps draws the band, the tolerance, the line and the colour after each coat.
func (p *drawing) steps(c scale, steps []plan.Step, tolerance float64) {
	band, back, line := "", "", ""
	for i, s := range steps {
		band += fmt.Sprintf("%.1f,%.1f ", c.x(i), c.y(s.Low))
		back = fmt.Sprintf("%.1f,%.1f ", c.x(i), c.y(s.High)) + back
		line += fmt.Sprintf("%.1f,%.1f ", c.x(i), c.y(s.DeltaE))
	}
	p.line(`<polygon points="%s" fill-opacity=".16"/>`, band+back)
	p.line(`<line x1="%.1f" x2="%.1f" y1="%.1f" y2="%.1f" stroke="currentColor" stroke-dasharray="3 5"/>`,
		plotLeft, plotWidth-plotRight, c.y(tolerance), c.y(tolerance))
	// Under the end of the path that is further from it.
	from, anchor := plotLeft+4, "start"
	if len(steps) > 1 && steps[0].DeltaE < steps[len(steps)-1].DeltaE {
		from, anchor = plotWidth-plotRight, "end"
	}
	p.line(`<text x="%.1f" y="%.1f" text-anchor="%s" font-size="13">%s</text>`, from, c.y(tolerance)-5, anchor, say("picture.close-enough"))
	p.line(`<polyline points="%s" fill="none" stroke="currentColor" stroke-width="2.5"/>`, line)
	for i, s := range steps {
		p.line(`<circle cx="%.1f" cy="%.1f" r="9" fill="%s" stroke="currentColor" stroke-width="1.5"/>`, c.x(i), c.y(s.DeltaE), s.Lab.Hex())
	}
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
