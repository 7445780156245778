package card

import (
	"bytes"
	_ "embed"
	"encoding/base64"
	"html/template"
	"image"
	"image/jpeg"
	"io"
	"sync"

	"rsc.io/qr"

	"huewright/internal/fault"
	"huewright/internal/words"
)

//go:embed card.html
var page string

var pageTemplate = sync.OnceValue(func() *template.Template {
	return template.Must(template.New("card").Funcs(template.FuncMap{
		"photo":   photoURL,
		"code":    codeURL,
		"capital": words.Capital,
		"inFull":  func(i int) bool { return i < inFull },
		"stop":    func(a Area, i int) bool { return a.StopAt == i+1 },
		"ends":    func(a Area) []Swatch { return []Swatch{a.Swatches[0], a.Swatches[len(a.Swatches)-1]} },
		// Each card has its own words.
		"say": func(string) string { return "" }, "unit": func(Area) string { return "" }, "degrees": func() string { return "" },
	}).Parse(page))
})

// HTML writes a card as one page that needs nothing else. On a screen it is laid out for its width; printed, it is what PDF draws.
func HTML(w io.Writer, s *Sheet, paper string) error {
	sheets, err := printed(s, paper)
	if err != nil {
		return err
	}
	says := speakerOf(s)
	page := template.Must(pageTemplate().Clone()).Funcs(template.FuncMap{
		"say":     func(word string) string { return says.say(fault.Code("card." + word)) },
		"unit":    func(a Area) string { return says.unit(&a) },
		"degrees": says.degrees,
	})
	var out bytes.Buffer
	err = page.Execute(&out, struct {
		*Sheet
		Paper   string
		Printed []template.HTML
		When    string
	}{s, paper, sheets, says.say("card.when")})
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
