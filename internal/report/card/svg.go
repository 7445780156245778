package card

import (
	"fmt"
	"html"
	"html/template"
	"image/color"
	"strings"
)

// printed are the pages of a card as drawings in SVG, which a browser prints as the PDF has them. Every line of text has its width in it,
// so that it stays in its place in whatever font the browser has.
func printed(s *Sheet, paper string) (pages []template.HTML, err error) {
	c := layOut(s, paper)
	for _, page := range c.pages {
		var b strings.Builder
		high := sizes[paper][1] - 2*margin - 0.5 // what is as high as the paper could begin another page
		fmt.Fprintf(&b, `<svg class="sheet" viewBox="%.2f %.2f %.2f %.2f">`+"\n", c.paper.x, c.paper.y, c.paper.w, high)
		for i := range page {
			if err := onSVG(&b, &page[i]); err != nil {
				return nil, err
			}
		}
		b.WriteString("</svg>")
		pages = append(pages, template.HTML(b.String())) // of our own making: texts in it are escaped
	}
	return pages, nil
}

func onSVG(b *strings.Builder, m *mark) error {
	switch {
	case m.picture != nil:
		url, err := photoURL(m.picture)
		if err != nil {
			return err
		}
		fmt.Fprintf(b, `<image x="%.2f" y="%.2f" width="%.2f" height="%.2f" preserveAspectRatio="none" href="%s"/>`+"\n",
			m.x, m.y, m.w, m.h, html.EscapeString(string(url)))
	case m.dots != nil:
		var path strings.Builder
		for _, d := range m.dots {
			fmt.Fprintf(&path, "M%.2f %.2fh%.2fv%.2fh%.2fz", d.x, d.y, d.w, d.h, -d.w)
		}
		fmt.Fprintf(b, `<path d="%s" fill="%s"/>`+"\n", &path, hex(m.fill))
	case m.text != "":
		size := m.points * mmPerPoint
		x, y, long, turn := m.x, m.y+ascent*size, m.w, ""
		if m.turned {
			x, y, long = m.x+ascent*size, m.bottom(), m.h
			turn = fmt.Sprintf(` transform="rotate(-90 %.2f %.2f)"`, x, y)
		}
		weight := ""
		if m.bold {
			weight = ` font-weight="700"`
		}
		fmt.Fprintf(b, `<text x="%.2f" y="%.2f" font-size="%.3f" textLength="%.2f" lengthAdjust="spacingAndGlyphs" fill="%s"%s%s>%s</text>`+"\n",
			x, y, size, long, hex(m.fill), weight, turn, html.EscapeString(m.text))
	default:
		fill, line := "none", ""
		if m.fill != nil {
			fill = hex(m.fill)
		}
		if m.line != nil {
			line = fmt.Sprintf(` stroke="%s" stroke-width="%.2f"`, hex(m.line), m.width)
		}
		fmt.Fprintf(b, `<rect x="%.2f" y="%.2f" width="%.3f" height="%.3f" fill="%s"%s/>`+"\n", m.x, m.y, m.w, m.h, fill, line)
	}
	return nil
}

func hex(c color.Color) string {
	r, g, b := rgb(c)
	return fmt.Sprintf("#%02x%02x%02x", r, g, b)
}
