package picture

import (
	"fmt"
	"html"
	"io"
	"time"

	"huewright/colour"
	"huewright/internal/logbook"
	"huewright/internal/record"
)

// Drift draws how an area's colour went: L*, a* and b* against time, each in a band of its own with
// its ±, and the colour itself on each reading.
func Drift(w io.Writer, d *record.Drift, zone *time.Location) error {
	const (
		width, left, right = 720.0, 70.0, 24.0
		top, band, gap     = 56.0, 110.0, 30.0
	)
	points := d.Points[d.Since:]
	first, last := points[0].At, points[len(points)-1].At
	span := max(last.Sub(first).Hours(), 1)
	x := func(t time.Time) float64 { return left + (width-left-right)*t.Sub(first).Hours()/span }
	height := top + 3*(band+gap) + 46
	var p drawing
	p.line(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %.0f %.0f" width="%.0f" height="%.0f" font-family="sans-serif" `+
		`font-size="13" fill="#333">`, width, height, width, height)
	p.line(`<rect width="100%%" height="100%%" fill="#f4f4f4"/>`)
	under := "none"
	if coats := points[0].Stack.String(); coats != "" {
		under = coats
	}
	title := say("picture.drift", "piece", d.Piece, "area", d.Area, "under", under)
	p.line(`<text x="%.0f" y="30" font-size="17">%s</text>`, left, html.EscapeString(title))
	for i, axis := range []struct {
		name string
		of   func(c colour.Lab) float64
	}{
		{"L*", func(c colour.Lab) float64 { return c.L }},
		{"a*", func(c colour.Lab) float64 { return c.A }},
		{"b*", func(c colour.Lab) float64 { return c.B }},
	} {
		y0 := top + float64(i)*(band+gap)
		low, high := reach(points, axis.of)
		y := func(v float64) float64 { return y0 + band*(high-v)/(high-low) }
		p.line(`<rect x="%.1f" y="%.1f" width="%.1f" height="%.1f" fill="#fff" stroke="#bbb"/>`, left-12, y0, width-left-right+24, band)
		p.line(`<text x="14" y="%.1f">%s</text>`, y0+band/2+5, axis.name)
		for _, v := range []float64{low, high} {
			p.line(`<text x="%.1f" y="%.1f" font-size="11" text-anchor="end" fill="#555">%.0f</text>`, left-18, y(v)+4, v)
		}
		line := ""
		for _, at := range points {
			line += fmt.Sprintf("%.1f,%.1f ", x(at.At), y(axis.of(at.Lab)))
		}
		p.line(`<polyline points="%s" fill="none" stroke="#555" stroke-width="1.5"/>`, line)
		for _, at := range points {
			v := axis.of(at.Lab)
			p.line(`<line x1="%.1f" x2="%.1f" y1="%.1f" y2="%.1f" stroke="#555"/>`, x(at.At), x(at.At), y(v-at.PlusMinus), y(v+at.PlusMinus))
			p.line(`<circle cx="%.1f" cy="%.1f" r="7" fill="%s" stroke="#333"><title>%s: %s %.1f ± `+
				`%.1f</title></circle>`, x(at.At), y(v), at.Lab.Hex(), at.At.In(zone).Format("2006-01-02 15:04"), axis.name, v, at.PlusMinus)
		}
	}
	foot := height - 22
	p.line(`<text x="%.1f" y="%.1f">%s</text>`, left, foot, first.In(zone).Format("2 Jan 2006"))
	if len(points) > 1 {
		p.line(`<text x="%.1f" y="%.1f" text-anchor="end">%s</text>`, width-right, foot, last.In(zone).Format("2 Jan 2006"))
	}
	p.line(`</svg>`)
	_, err := io.WriteString(w, p.String())
	return err
}

// reach is from where to where readings go with their ±, 4 at least.
func reach(points []logbook.Point, of func(colour.Lab) float64) (low, high float64) {
	low, high = of(points[0].Lab), of(points[0].Lab)
	for _, at := range points {
		low, high = min(low, of(at.Lab)-at.PlusMinus), max(high, of(at.Lab)+at.PlusMinus)
	}
	if high-low < 4 {
		low, high = (low+high)/2-2, (low+high)/2+2
	}
	return low, high
}
