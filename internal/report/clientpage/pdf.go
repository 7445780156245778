package clientpage

import (
	"bytes"
	"fmt"
	"io"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"

	"huewright/colour"
)

const (
	margin = 14.0          // mm
	bullet = 4.0           // from it to its text, mm
	gap    = 4.0           // between pictures, mm
	leadMM = 0.3528 * 1.33 // of a letter's size in points: a line's height in mm
)

// sizes are those of letters and pictures over the usual, the largest first: the first with which all is on one page is taken, and the
// largest where none is. Letters of the smallest have 8.5 points.
var sizes = []float64{1.1, 1.05, 1, 0.95, 0.9, 0.85, 0.8}

// PDF writes a page as PDF, on paper of one of card.Papers. Its text is text, its fonts are in it. Whatever is said finds room, on further
// pages if need be.
func PDF(w io.Writer, p *Page, paper string) error {
	var roomy *layout
	for _, k := range sizes {
		l, err := laidOut(p, paper, k)
		if err != nil {
			return err
		}
		if l.pdf.PageCount() == 1 {
			return l.pdf.Output(w)
		}
		if k == 1 {
			roomy = l
		}
	}
	return roomy.pdf.Output(w)
}

// A layout is a page being drawn. Lengths are in mm.
type layout struct {
	pdf      *fpdf.Fpdf
	k        float64
	w        float64 // between the margins
	pictures int
	bottom   float64
}

func laidOut(p *Page, paper string, k float64) (*layout, error) {
	pdf := fpdf.New("P", "mm", paper, "")
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(p.Date)
	pdf.SetModificationDate(p.Date)
	pdf.SetTitle(p.Title, true)
	pdf.SetMargins(margin, margin, margin)
	pdf.SetAutoPageBreak(true, margin)
	pdf.AddUTF8FontFromBytes("go", "", goregular.TTF)
	pdf.AddUTF8FontFromBytes("go", "B", gobold.TTF)
	pdf.SetCellMargin(0)
	wide, high := pdf.GetPageSize()
	l := &layout{pdf: pdf, k: k, w: wide - 2*margin, bottom: high - margin}
	pdf.AddPage()
	l.text("B", 20, 0, p.Title)
	l.text("", 10, 0, p.About)
	for i := range p.Photos {
		if err := l.photo(&p.Photos[i]); err != nil {
			return nil, err
		}
	}
	l.colours(p)
	for i := range p.Parts {
		l.part(&p.Parts[i])
	}
	if p.Over != "" {
		l.text("", 10.5, 0, p.Over)
	}
	for _, s := range p.Sections {
		l.section(s)
	}
	l.down(2)
	l.text("", 8.5, 0, p.Small)
	return l, pdf.Error()
}

func (l *layout) down(mm float64) { l.pdf.SetY(l.pdf.GetY() + mm*l.k) }

// line sets the letters and returns the height of a line.
func (l *layout) line(style string, points float64) float64 {
	l.pdf.SetFont("go", style, points*l.k)
	return points * l.k * leadMM
}

// text writes a paragraph from in on.
func (l *layout) text(style string, points, in float64, text string) {
	h := l.line(style, points)
	l.pdf.SetX(margin + in)
	l.pdf.MultiCell(l.w-in, h, text, "", "L", false)
}

// height is what text would take.
func (l *layout) height(style string, points, in float64, text string) float64 {
	h := l.line(style, points)
	return float64(len(l.pdf.SplitText(text, l.w-in))) * h
}

// need begins a page where so much does not fit any more.
func (l *layout) need(mm float64) {
	if l.pdf.GetY()+mm > l.bottom {
		l.pdf.AddPage()
	}
}

// photo draws the pictures of a photo in a row, their texts under them.
func (l *layout) photo(p *Photo) error {
	var row []Picture
	for _, one := range []Picture{p.Now, p.Day, p.Lamp} {
		if one.Image != nil {
			row = append(row, one)
		}
	}
	l.down(3)
	wide := (l.w - gap*float64(len(row)-1)) / float64(len(row))
	b := p.Now.Image.Bounds()
	high := wide * float64(b.Dy()) / float64(b.Dx())
	if most := 78 * l.k; high > most {
		wide, high = wide*most/high, most
	}
	small := l.line("", 9)
	lines := 1
	for _, one := range row {
		lines = max(lines, len(l.pdf.SplitText(one.Text, wide)))
	}
	l.need(high + float64(lines)*small)
	y := l.pdf.GetY()
	for i, one := range row {
		data, err := asJPEG(one.Image)
		if err != nil {
			return err
		}
		l.pictures++
		name := fmt.Sprint("picture ", l.pictures)
		options := fpdf.ImageOptions{ImageType: "JPEG"}
		l.pdf.RegisterImageOptionsReader(name, options, bytes.NewReader(data))
		x := margin + float64(i)*(wide+gap)
		l.pdf.ImageOptions(name, x, y, wide, high, false, options, 0, "")
		l.pdf.SetXY(x, y+high+0.8)
		l.pdf.MultiCell(wide, small, one.Text, "", "L", false)
	}
	l.pdf.SetXY(margin, y+high+0.8+float64(lines)*small)
	l.down(2)
	return nil
}

const swatch = 10.0 // its width, mm

// colours says which colours of parts are now and which then.
func (l *layout) colours(p *Page) {
	if len(p.Parts) == 0 {
		return
	}
	h := l.line("", 8.5)
	l.need(h + 12*l.k)
	for i, text := range p.Colours {
		l.pdf.Text(margin+float64(i)*swatch, l.pdf.GetY()+0.75*h, text)
	}
	l.pdf.SetY(l.pdf.GetY() + h)
}

// part draws the colours of a part, now and after, and what is done to it.
func (l *layout) part(p *Part) {
	const in = 2.4 * swatch
	h := l.height("B", 11, in, p.Name) + l.height("", 10.5, in, p.Do)
	l.need(h + 2*l.k)
	y := l.pdf.GetY()
	l.pdf.SetDrawColor(90, 90, 90)
	l.pdf.SetLineWidth(0.15)
	for i, lab := range []colour.Lab{p.Now, p.After} {
		c := lab.LinearRGB().Encode()
		l.pdf.SetFillColor(int(c.R), int(c.G), int(c.B))
		l.pdf.Rect(margin+float64(i)*swatch, y+0.4, swatch, min(h-0.8, 9.5*l.k), "FD")
	}
	l.text("B", 11, in, p.Name)
	l.text("", 10.5, in, p.Do)
	l.down(1.2)
}

// section draws a heading with a rule, and its paragraphs.
func (l *layout) section(s Section) {
	if len(s.Lines) == 0 {
		return
	}
	l.down(2.2)
	l.need(l.height("B", 12, 0, s.Heading) + l.height("", 10.5, 0, s.Lines[0].Text) + 2)
	l.text("B", 12, 0, s.Heading)
	l.pdf.SetDrawColor(150, 150, 150)
	l.pdf.SetLineWidth(0.2)
	l.pdf.Line(margin, l.pdf.GetY()+0.3, margin+l.w, l.pdf.GetY()+0.3)
	l.down(1.2)
	for _, line := range s.Lines {
		l.text("", 10.5, 0, line.Text)
		l.down(0.7)
		for _, item := range line.Items {
			l.need(l.height("", 10.5, bullet, item))
			y, h := l.pdf.GetY(), l.line("", 10.5)
			l.pdf.Text(margin+1, y+0.75*h, "•")
			l.text("", 10.5, bullet, item)
			l.down(0.4)
		}
		if len(line.Items) > 0 {
			l.down(0.6)
		}
	}
}
