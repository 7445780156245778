package card

import (
	"bytes"
	"fmt"
	"image/jpeg"
	"io"
	"strings"

	"codeberg.org/go-pdf/fpdf"
	"rsc.io/qr"
)

// Papers are the sizes of a sheet that a card is printed on: the first where units are metric, the second where they are US.
var Papers = []string{"A4", "Letter"}

// PaperFor is the size of a sheet where units are used.
func PaperFor(units string) string {
	if units == "us" {
		return Papers[1]
	}
	return Papers[0]
}

// onOnePage is how many areas a card holds on one page; with more it has two.
const onOnePage = 6

// PDF writes a card as PDF, on paper of one of Papers: one page for up to six areas, two beyond.
// Letters shrink a little where there is much to say. Its text is text, its fonts are in it.
func PDF(w io.Writer, c *Sheet, paper string) error {
	allowed := 1
	if len(c.Areas) > onOnePage {
		allowed = 2
	}
	var s *layout
	for _, k := range []float64{1, 0.94, 0.88, 0.82, 0.76, 0.7, 0.64} {
		s = newLayout(paper, k, c)
		if err := s.draw(c); err != nil {
			return err
		}
		if s.pdf.PageCount() <= allowed && s.noted {
			break
		}
	}
	return s.pdf.Output(w)
}

func (s *layout) draw(c *Sheet) error {
	if err := s.head(c); err != nil {
		return err
	}
	if err := s.photoAndSide(c); err != nil {
		return err
	}
	s.areas(c)
	s.days(c)
	s.notes()
	if s.pdf.Err() {
		return s.pdf.Error()
	}
	return nil
}

func (s *layout) head(c *Sheet) error {
	right := s.w
	if c.Ref != "" {
		const side = 20.0
		code, err := qr.Encode(c.Ref, qr.M)
		if err != nil {
			return fmt.Errorf("the log's reference does not fit a QR code: %w", err)
		}
		x0 := s.x + s.w - side
		dot := side / float64(code.Size)
		s.pdf.SetFillColor(0, 0, 0)
		for y := range code.Size {
			for x := range code.Size {
				if code.Black(x, y) {
					s.pdf.Rect(x0+float64(x)*dot, s.y+float64(y)*dot, dot+0.01, dot+0.01, "F")
				}
			}
		}
		right -= side + 4
		line := s.font("", 6.5)
		ref := s.fit("in the log: "+c.Ref, right)
		s.pdf.Text(x0-3-s.pdf.GetStringWidth(ref), s.y+side-0.3*line, ref)
	}
	line := s.font("B", 18)
	s.pdf.Text(s.x, s.y+0.8*line, s.fit(c.Title, right))
	h := line
	sub := c.Date.Format("2 January 2006") + " · " + c.Note
	h += s.write(s.x, s.y+h, right, "", 7.5, sub)
	if c.Ref != "" {
		h = max(h, 21)
	}
	s.y += h + 2*s.k
	return nil
}

// photoAndSide draws the photos with numbers, and beside them what to mix and what to be careful of.
func (s *layout) photoAndSide(c *Sheet) error {
	wide := 0.46 * s.w
	y := s.y
	for i, img := range c.Photos {
		if i > 1 {
			break // a card has room for two
		}
		var data bytes.Buffer
		if err := jpeg.Encode(&data, img, &jpeg.Options{Quality: 85}); err != nil {
			return err
		}
		name := fmt.Sprint("photo ", i)
		options := fpdf.ImageOptions{ImageType: "JPEG"}
		s.pdf.RegisterImageOptionsReader(name, options, &data)
		b := img.Bounds()
		most := 72 * s.k
		if len(c.Photos) > 1 {
			most = 46 * s.k
		}
		w := wide
		h := w * float64(b.Dy()) / float64(b.Dx())
		if h > most {
			w, h = w*most/h, most
		}
		s.pdf.ImageOptions(name, s.x, y, w, h, false, options, 0, "")
		y += h + 2
	}
	s.side(c, y, s.x+wide+5, s.w-wide-5)
	return nil
}

// A paragraph is text to be drawn under what is drawn already.
type paragraph struct {
	style  string
	points float64
	text   string
	gap    float64 // under it
}

// side draws what to mix and what to be careful of beside the photos, which reach down to photos. What has no room there any
// more goes under both, over the whole width: nothing of it is left out.
func (s *layout) side(c *Sheet, photos, x, wide float64) {
	at := s.y
	if len(c.Mixes) > 0 {
		at += s.heading(x, at, wide, "To mix")
		for _, m := range c.Mixes {
			at += s.write(x, at, wide, "", 8.5, m) + 0.8*s.k
		}
		at += 1.5 * s.k
	}
	at += s.heading(x, at, wide, "Careful")
	below := false
	for _, p := range careful(c) {
		if !below && at+s.height(wide, p.style, p.points, p.text) > s.bottom {
			below = true
			s.y = max(photos, at) + 2*s.k
		}
		if !below {
			at += s.write(x, at, wide, p.style, p.points, p.text) + p.gap*s.k
			continue
		}
		s.need(s.height(s.w, p.style, p.points, p.text))
		s.y += s.write(s.x, s.y, s.w, p.style, p.points, p.text) + p.gap*s.k
	}
	if !below {
		s.y = max(photos, at)
	}
	s.y += 2 * s.k
}

// careful are all cautions and warnings of a card.
func careful(c *Sheet) []paragraph {
	all := []paragraph{{"", 7.5, c.First, 0.6}}
	for _, w := range c.Warnings {
		all = append(all, paragraph{"B", 7.5, "! " + w, 0.5})
	}
	for _, k := range c.Matters {
		all = append(all, paragraph{"B", 7.5, strings.ToUpper(k.Key[:1]) + k.Key[1:], 0}, paragraph{"", 7.5, k.Text, 0.5})
	}
	return all
}

// areas draws a cell for each area, two side by side.
func (s *layout) areas(c *Sheet) {
	s.need(30 * s.k)
	s.y += s.heading(s.x, s.y, s.w, "Coats")
	cell := (s.w - 6) / 2
	for i := 0; i < len(c.Areas); i += 2 {
		row := c.Areas[i:min(i+2, len(c.Areas))]
		high := 0.0
		for k := range row {
			high = max(high, s.area(&row[k], 0, 0, cell, true))
		}
		s.need(high)
		for k := range row {
			s.area(&row[k], s.x+float64(k)*(cell+6), s.y, cell, false)
		}
		s.y += high + 2*s.k
	}
}

// area draws one, or only measures it, and returns its height.
func (s *layout) area(a *Area, x, y, w float64, measure bool) float64 {
	write := func(x, y, w float64, style string, points float64, text string) float64 {
		if measure {
			return s.height(w, style, points, text)
		}
		return s.write(x, y, w, style, points, text)
	}
	r := 2.6 * s.k
	if !measure {
		s.pdf.SetDrawColor(0, 0, 0)
		s.pdf.SetLineWidth(0.3)
		s.pdf.Circle(x+r, y+r, r, "D")
		s.font("B", 9)
		number := fmt.Sprint(a.Number)
		s.pdf.Text(x+r-s.pdf.GetStringWidth(number)/2, y+r+1.1*s.k, number)
	}
	in := x + 2*r + 2
	inner := w - 2*r - 2
	line := s.font("B", 10)
	if !measure {
		s.pdf.Text(in, y+0.75*line, s.fit(a.Name, inner))
	}
	h := line
	if a.About != "" {
		h += write(in, y+h, inner, "", 7.5, a.About)
	}
	h += 0.6 * s.k
	gap := 2.0
	each := (inner - gap*float64(len(a.Swatches)-1)) / float64(max(1, len(a.Swatches)))
	patch := 8.5 * s.k
	small := s.font("", 6.5)
	if !measure {
		for i, sw := range a.Swatches {
			sx := in + float64(i)*(each+gap)
			s.font("", 6.5)
			s.pdf.Text(sx, y+h+0.75*small, s.fit(sw.Name, each))
			c := sw.Lab.LinearRGB().Encode()
			s.pdf.SetFillColor(int(c.R), int(c.G), int(c.B))
			s.pdf.SetDrawColor(90, 90, 90)
			s.pdf.SetLineWidth(0.15)
			s.pdf.Rect(sx, y+h+small, each, patch, "FD")
			s.pdf.Text(sx, y+h+small+patch+0.8*small, s.fit(sw.Figures(), each))
		}
	}
	h += 2*small + patch + 0.8*s.k
	h += write(in, y+h, inner, "B", 9, a.Coats)
	for _, text := range []string{a.Stop, a.Left} {
		if text != "" {
			h += write(in, y+h, inner, "", 7.5, text)
		}
	}
	return max(h, 2*r)
}

// days draws the timetable with boxes to tick, in two columns.
func (s *layout) days(c *Sheet) {
	if len(c.Days) == 0 {
		return
	}
	column := (s.w - 6) / 2
	type block struct {
		height float64
		draw   func(x, y float64)
	}
	var blocks []block
	total := 0.0
	add := func(h float64, draw func(x, y float64)) {
		blocks, total = append(blocks, block{h, draw}), total+h
	}
	for _, d := range c.Days {
		h := s.height(column, "B", 8.5, d.Day) + 0.8*s.k
		add(h, func(x, y float64) { s.write(x, y, column, "B", 8.5, d.Day) })
		for _, step := range d.Steps {
			box := 3.2 * s.k
			in := box + 2 + 11*s.k
			h := s.height(column-in, "", 8.5, step.What)
			note := strings.Join(step.Notes, " ")
			if note != "" {
				h += s.height(column-in, "", 7, note)
			}
			add(max(h, box)+0.9*s.k, func(x, y float64) {
				s.pdf.SetDrawColor(0, 0, 0)
				s.pdf.SetLineWidth(0.25)
				s.pdf.Rect(x, y+0.5*s.k, box, box, "D")
				s.write(x+box+2, y, 11*s.k, "", 8.5, step.Time)
				done := s.write(x+in, y, column-in, "", 8.5, step.What)
				if note != "" {
					s.write(x+in, y+done, column-in, "", 7, note)
				}
			})
		}
	}
	if c.Ready != "" {
		h := s.height(column, "", 7.5, c.Ready) + 0.8*s.k
		add(h, func(x, y float64) { s.write(x, y, column, "", 7.5, c.Ready) })
	}
	s.need(min(total/2+14*s.k, s.bottom-s.top))
	s.y += s.heading(s.x, s.y, s.w, "When")
	x, y, lowest, left := s.x, s.y, s.y, true
	half := total / 2
	for _, b := range blocks {
		switch {
		case left && (y-s.y >= half-0.5 || y+b.height > s.bottom):
			x, y, left = s.x+column+6, s.y, false
		case !left && y+b.height > s.bottom:
			s.pdf.AddPage()
			s.y = s.top
			x, y, left, half = s.x, s.y, true, s.bottom-s.top
		}
		b.draw(x, y)
		y += b.height
		lowest = max(lowest, y)
	}
	s.y = lowest + 2*s.k
}

// notes leaves room to write, where there is some.
func (s *layout) notes() {
	const least, rule = 24.0, 7.0
	if s.bottom-s.y < least {
		return
	}
	s.noted = true
	s.y += s.heading(s.x, s.y, s.w, "Notes")
	s.pdf.SetDrawColor(190, 190, 190)
	s.pdf.SetLineWidth(0.15)
	for y := s.y + rule; y <= s.bottom; y += rule {
		s.pdf.Line(s.x, y, s.x+s.w, y)
	}
}
