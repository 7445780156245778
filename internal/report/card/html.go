package card

import (
	"bytes"
	_ "embed"
	"encoding/base64"
	"html/template"
	"image"
	"image/jpeg"
	"io"
	"strings"

	"rsc.io/qr"
)

//go:embed card.html
var page string

var pageTemplate = template.Must(template.New("card").Funcs(template.FuncMap{
	"photo": photoURL,
	"code":  codeURL,
	"upper": func(s string) string { return strings.ToUpper(s[:1]) + s[1:] },
}).Parse(page))

// HTML writes a card as one page that needs nothing else, with a style for printing.
func HTML(w io.Writer, c *Sheet, paper string) error {
	var out bytes.Buffer
	err := pageTemplate.Execute(&out, struct {
		*Sheet
		Paper string
	}{c, paper})
	if err != nil {
		return err
	}
	_, err = w.Write(out.Bytes())
	return err
}

func photoURL(img image.Image) (template.URL, error) {
	var data bytes.Buffer
	err := jpeg.Encode(&data, img, &jpeg.Options{Quality: 80})
	return template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(data.Bytes())), err
}

func codeURL(text string) (template.URL, error) {
	code, err := qr.Encode(text, qr.M)
	if err != nil {
		return "", err
	}
	code.Scale = 4
	return template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(code.PNG())), nil
}
