// Package slipsheet lays the slips of one set out on a sheet of paper, to be printed and cut out.
package slipsheet

import (
	"fmt"
	"io"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"

	"huewright/imageio/slip"
	"huewright/internal/report/card"
)

// Papers are the sizes of a sheet.
var Papers = card.Papers

// Options say what is printed.
type Options struct {
	Paper string // one of [Papers]
	Set   int    // 1 to [slip.Sets]
	Grey  bool   // for printers without colour
}

// Sizes in mm.
const (
	columns = 2
	cut     = slip.Side + 2*slip.Margin // of a slip of paper
	edge    = 10.0                      // that printers leave white
	ruler   = 100.0
)

// advice is how the sheet is used.
var advice = []string{
	"Print at full size (100 %) on plain white paper, and see that the ruler below is 100 mm long.",
	"Cut along the thin lines, so that every slip keeps its white edge.",
	"Lay a slip flat on each wood and one beside the sample. Keep them in every photo. Next time print another set.",
}

// PDF writes the sheet. Whatever the date, the same sheet has the same bytes.
func PDF(w io.Writer, opt Options) error {
	pdf := fpdf.New("P", "mm", opt.Paper, "")
	pdf.SetCatalogSort(true)
	printed := time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
	pdf.SetCreationDate(printed)
	pdf.SetModificationDate(printed)
	title := fmt.Sprintf("Slips, set %d", opt.Set)
	if opt.Grey {
		title += ", for a grey printer"
	}
	pdf.SetTitle(title, true)
	pdf.SetAutoPageBreak(false, 0)
	pdf.AddUTF8FontFromBytes("go", "", goregular.TTF)
	pdf.AddUTF8FontFromBytes("go", "B", gobold.TTF)
	pdf.AddPage()
	wide, high := pdf.GetPageSize()

	rows := float64(slip.PerSet / columns)
	left := (wide - columns*cut) / 2
	pdf.SetFont("go", "B", 13)
	pdf.Text(left, edge+5, title)
	pdf.SetFont("go", "", 8)
	for i, line := range advice {
		pdf.Text(left, edge+10+4*float64(i), line)
	}
	const head = 22.0
	top := edge + head + (high-2*edge-head-rows*cut-8)/2
	for n := 1; n <= slip.PerSet; n++ {
		x, y := left+cut*float64((n-1)%columns), top+cut*float64((n-1)/columns)
		draw(pdf, slip.Design{Number: n, Set: opt.Set, Grey: opt.Grey}, x+slip.Margin, y+slip.Margin)
	}
	cuttingLines(pdf, left, top, rows)
	drawRuler(pdf, (wide-ruler)/2, high-edge-1)
	if pdf.Err() {
		return pdf.Error()
	}
	return pdf.Output(w)
}

// draw puts a slip's frame at a place, and its name into the margin below, next to the cut.
func draw(pdf *fpdf.Fpdf, d slip.Design, x, y float64) {
	for _, m := range d.Marks() {
		pdf.SetFillColor(int(m.Tone.RGB.R), int(m.Tone.RGB.G), int(m.Tone.RGB.B))
		pdf.Rect(x+m.X, y+m.Y, m.Wide, m.High, "F")
	}
	pdf.SetFont("go", "", 6)
	pdf.SetTextColor(90, 90, 90)
	pdf.Text(x+(slip.Side-pdf.GetStringWidth(d.String()))/2, y+slip.Side+slip.Margin-0.9, d.String())
	pdf.SetTextColor(0, 0, 0)
}

func cuttingLines(pdf *fpdf.Fpdf, left, top, rows float64) {
	const beyond = 4.0
	pdf.SetDrawColor(150, 150, 150)
	pdf.SetLineWidth(0.1)
	pdf.SetDashPattern([]float64{2, 2}, 0)
	for k := 0.0; k <= columns; k++ {
		pdf.Line(left+k*cut, top-beyond, left+k*cut, top+rows*cut+beyond)
	}
	for k := 0.0; k <= rows; k++ {
		pdf.Line(left-beyond, top+k*cut, left+columns*cut+beyond, top+k*cut)
	}
	pdf.SetDashPattern(nil, 0)
}

// drawRuler draws 100 mm with a mark at every 10, their numbers above.
func drawRuler(pdf *fpdf.Fpdf, x, y float64) {
	pdf.SetDrawColor(0, 0, 0)
	pdf.SetLineWidth(0.2)
	pdf.SetFont("go", "", 6)
	pdf.Line(x, y, x+ruler, y)
	for mm := 0.0; mm <= ruler; mm += 10 {
		pdf.Line(x+mm, y-2, x+mm, y)
		text := fmt.Sprintf("%g", mm)
		if mm == ruler {
			text += " mm"
		}
		pdf.Text(x+mm-pdf.GetStringWidth(fmt.Sprintf("%g", mm))/2, y-2.8, text)
	}
}
