package card

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

// PDF writes a card as PDF, on paper of one of Papers: one page for up to six areas, two beyond. Letters shrink a little where there is
// much to say. Its text is text, its fonts are in it.
func PDF(w io.Writer, s *Sheet, paper string) error {
	pdf := fpdf.New("P", "mm", paper, "")
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(s.Date)
	pdf.SetModificationDate(s.Date)
	pdf.SetTitle(s.Title, true)
	pdf.SetAutoPageBreak(false, 0)
	pdf.AddUTF8FontFromBytes("go", "", goregular.TTF)
	pdf.AddUTF8FontFromBytes("go", "B", gobold.TTF)
	pictures := map[image.Image]string{}
	for _, page := range layOut(s, paper).pages {
		pdf.AddPage()
		for i := range page {
			if err := onPDF(pdf, &page[i], pictures); err != nil {
				return err
			}
		}
	}
	return pdf.Output(w)
}

// onPDF draws one mark. Pictures that are drawn are kept by their names.
func onPDF(pdf *fpdf.Fpdf, m *mark, pictures map[image.Image]string) error {
	switch {
	case m.picture != nil:
		options := fpdf.ImageOptions{ImageType: "JPEG"}
		if pictures[m.picture] == "" {
			pictures[m.picture] = fmt.Sprint("photo ", len(pictures))
			var data bytes.Buffer
			if err := jpeg.Encode(&data, m.picture, &jpeg.Options{Quality: 85}); err != nil {
				return err
			}
			pdf.RegisterImageOptionsReader(pictures[m.picture], options, &data)
		}
		pdf.ImageOptions(pictures[m.picture], m.x, m.y, m.w, m.h, false, options, 0, "")
	case m.dots != nil:
		pdf.SetFillColor(rgb(m.fill))
		for _, d := range m.dots {
			pdf.Rect(d.x, d.y, d.w, d.h, "F")
		}
	case m.text != "":
		style := ""
		if m.bold {
			style = "B"
		}
		pdf.SetFont("go", style, m.points)
		pdf.SetTextColor(rgb(m.fill))
		base := ascent * m.points * mmPerPoint
		if m.turned {
			pdf.TransformBegin()
			pdf.TransformRotate(90, m.x+base, m.bottom())
			pdf.Text(m.x+base, m.bottom(), m.text)
			pdf.TransformEnd()
			break
		}
		pdf.Text(m.x, m.y+base, m.text)
	default:
		style := ""
		if m.fill != nil {
			pdf.SetFillColor(rgb(m.fill))
			style = "F"
		}
		if m.line != nil {
			pdf.SetDrawColor(rgb(m.line))
			pdf.SetLineWidth(m.width)
			style += "D"
		}
		pdf.Rect(m.x, m.y, m.w, m.h, style)
	}
	return pdf.Error()
}

func rgb(c color.Color) (r, g, b int) {
	p := color.NRGBAModel.Convert(c).(color.NRGBA)
	return int(p.R), int(p.G), int(p.B)
}
