package card

import (
	"strings"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

const (
	margin = 11.0          // mm
	lineMM = 0.3528 * 1.25 // of a letter's size in points: a line's height in mm
)

// A layout is a card being drawn. Lengths are in mm.
type layout struct {
	pdf         *fpdf.Fpdf
	k           float64 // size of letters and gaps over the usual
	x, y, w     float64
	top, bottom float64
	noted       bool // there is room for notes
}

func newLayout(paper string, k float64, c *Sheet) *layout {
	pdf := fpdf.New("P", "mm", paper, "")
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(c.Date)
	pdf.SetModificationDate(c.Date)
	pdf.SetTitle(c.Title, true)
	pdf.SetMargins(margin, margin, margin)
	pdf.SetAutoPageBreak(false, 0)
	pdf.AddUTF8FontFromBytes("go", "", goregular.TTF)
	pdf.AddUTF8FontFromBytes("go", "B", gobold.TTF)
	wide, high := pdf.GetPageSize()
	s := &layout{pdf: pdf, k: k, x: margin, y: margin, w: wide - 2*margin, top: margin, bottom: high - margin}
	pdf.AddPage()
	return s
}

func (s *layout) font(style string, points float64) float64 {
	s.pdf.SetFont("go", style, points*s.k)
	return points * s.k * lineMM
}

// fit cuts a text off so that it is no wider than w.
func (s *layout) fit(text string, w float64) string {
	runes := []rune(text)
	for n := len(runes); s.pdf.GetStringWidth(text) > w && n > 1; n-- {
		text = strings.TrimRight(string(runes[:n-1]), " ") + "…"
	}
	return text
}

// wrap breaks a text into lines no wider than w; a word that is wider is cut off.
func (s *layout) wrap(text string, w float64) (lines []string) {
	line := ""
	for _, word := range strings.Fields(text) {
		word = s.fit(word, w)
		switch with := strings.TrimSpace(line + " " + word); {
		case s.pdf.GetStringWidth(with) <= w:
			line = with
		default:
			lines, line = append(lines, line), word
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// write writes a text at a place, wrapped, and returns the height it takes.
func (s *layout) write(x, y, w float64, style string, points float64, text string) float64 {
	line := s.font(style, points)
	lines := s.wrap(text, w)
	for i, l := range lines {
		s.pdf.Text(x, y+float64(i+1)*line-0.28*line, l)
	}
	return float64(len(lines)) * line
}

// height is what write would take.
func (s *layout) height(w float64, style string, points float64, text string) float64 {
	line := s.font(style, points)
	return float64(len(s.wrap(text, w))) * line
}

// need begins a new page where so much does not fit any more.
func (s *layout) need(h float64) {
	if s.y+h > s.bottom && s.y > s.top {
		s.pdf.AddPage()
		s.y = s.top
	}
}

// heading is a title over a part, with a rule.
func (s *layout) heading(x, y, w float64, text string) float64 {
	h := s.write(x, y, w, "B", 10, text)
	s.pdf.SetDrawColor(120, 120, 120)
	s.pdf.SetLineWidth(0.2)
	s.pdf.Line(x, y+h+0.4, x+w, y+h+0.4)
	return h + 1.6*s.k
}
