package clientpage

import (
	"bytes"
	_ "embed"
	"encoding/base64"
	"html/template"
	"image"
	"image/jpeg"
	"io"
)

//go:embed page.html
var page string

var pageTemplate = template.Must(template.New("client").Funcs(template.FuncMap{"picture": pictureURL}).Parse(page))

// HTML writes a page that needs nothing else, with a style for printing.
func HTML(w io.Writer, p *Page, paper string) error {
	var out bytes.Buffer
	if err := pageTemplate.Execute(&out, struct {
		*Page
		Paper string
	}{p, paper}); err != nil {
		return err
	}
	_, err := w.Write(out.Bytes())
	return err
}

func pictureURL(img image.Image) (template.URL, error) {
	data, err := asJPEG(img)
	return template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(data)), err
}

func asJPEG(img image.Image) ([]byte, error) {
	var data bytes.Buffer
	err := jpeg.Encode(&data, img, &jpeg.Options{Quality: 85})
	return data.Bytes(), err
}
