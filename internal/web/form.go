package web

import (
	"cmp"
	"errors"
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"huewright/internal/fault"
	"huewright/internal/piece"
)

// A form is what a page sent.
type form struct{ url.Values }

// mostForm is how many bytes a form may have.
const mostForm = 1 << 20

// longestName is how many letters a name may have: as the log and the piece have it.
const longestName = 200

func readForm(w http.ResponseWriter, r *http.Request) (form, error) {
	r.Body = http.MaxBytesReader(w, r.Body, mostForm)
	var err error
	if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/") {
		err = r.ParseMultipartForm(mostForm)
	} else {
		err = r.ParseForm()
	}
	var large *http.MaxBytesError
	if err != nil && !errors.As(err, &large) {
		err = failed(http.StatusBadRequest, fault.New(fault.Use, "page.not-a-form").Because(err))
	}
	return form{r.PostForm}, err
}

// only is the form with no fields but those.
func (f form) only(fields []string) form {
	kept := url.Values{}
	for _, field := range fields {
		if values, sent := f.Values[field]; sent {
			kept[field] = values
		}
	}
	return form{kept}
}

func (f form) text(key string) string { return oneLine(f.Get(key)) }

// required is a name that must be there.
func (f form) required(key, what string) (string, error) {
	text := f.text(key)
	switch {
	case text == "":
		return "", fault.New(fault.Use, "page.missing", "what", what)
	case utf8.RuneCountInString(text) > longestName:
		return "", fault.New(fault.Use, "page.too-long", "what", what, "letters", longestName)
	}
	return text, nil
}

// outline is an outline that must be there, of as many points as a hand sets.
func (f form) outline(key, what string) (string, error) {
	text := f.text(key)
	if text == "" {
		return "", fault.New(fault.Use, "page.not-marked", "what", what)
	}
	return text, nil
}

// number is a number, or 0 where the field is empty. A comma will do for a point.
func (f form) number(key, what string) (float64, error) {
	text := strings.ReplaceAll(f.text(key), ",", ".")
	if text == "" {
		return 0, nil
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return 0, fault.New(fault.Use, "page.not-a-number", "what", what, "typed", f.text(key))
	}
	return v, nil
}

// optionalNumber is a number that may be left out.
func (f form) optionalNumber(key, what string) (*float64, error) {
	if f.text(key) == "" {
		return nil, nil
	}
	v, err := f.number(key, what)
	return &v, err
}

var labPattern = regexp.MustCompile(`^\s*(-?[0-9.]+)[\s,;]+(-?[0-9.]+)[\s,;]+(-?[0-9.]+)\s*$`)

// sourceFields are what stands behind the prefix in the fields of a source.
var sourceFields = []string{"-photo", "-outline", "-colour", "-surface", "-area"}

// source is where a colour comes from: prefix-outline and prefix-photo, prefix-colour as a code or as
// three figures, or prefix-area. It is nil where nothing is said.
func (f form) source(prefix, what string) (*piece.ColourSource, error) {
	switch outline, colour, area := f.text(prefix+"-outline"), f.text(prefix+"-colour"), f.text(prefix+"-area"); {
	case outline != "":
		return &piece.ColourSource{Photo: f.text(prefix + "-photo"), Outline: outline, Surface: f.text(prefix + "-surface")}, nil
	case strings.HasPrefix(colour, "#"):
		return &piece.ColourSource{Hex: colour, Surface: f.text(prefix + "-surface")}, nil
	case colour != "":
		m := labPattern.FindStringSubmatch(colour)
		if m == nil {
			return nil, fault.New(fault.Use, "page.not-a-colour", "what", what, "typed", colour)
		}
		var lab []float64
		for _, text := range m[1:] {
			v, err := strconv.ParseFloat(text, 64)
			if err != nil {
				return nil, fault.New(fault.Use, "page.not-a-colour", "what", what, "typed", colour)
			}
			lab = append(lab, v)
		}
		return &piece.ColourSource{Lab: lab, Surface: f.text(prefix + "-surface")}, nil
	case area != "":
		return &piece.ColourSource{Area: area}, nil
	}
	return nil, nil
}

// requiredSource is a source that must be there.
func (f form) requiredSource(prefix, what string) (piece.ColourSource, error) {
	s, err := f.source(prefix, what)
	if err == nil && s == nil {
		err = fault.New(fault.Use, "page.no-colour", "what", what)
	}
	if err != nil {
		return piece.ColourSource{}, err
	}
	return *s, nil
}

// dilution is parts of paint and of what it is thinned with; nil for undiluted.
func (f form) dilution() (*piece.Dilution, error) {
	paint, err := f.number("paint", "parts of paint")
	if err != nil {
		return nil, err
	}
	thinner, err := f.number("thinner", "parts of thinner")
	if err != nil || thinner == 0 {
		return nil, err
	}
	if paint == 0 {
		paint = 1
	}
	return &piece.Dilution{Paint: paint, Water: thinner}, nil
}

// mixed is what a coating was stirred together of, and whether that was weighed; nothing for what comes out of a tin.
func (f form) mixed() (parts []piece.MixPart, weighed bool, err error) {
	for _, part := range []struct{ coating, parts string }{
		{f.text("part-1"), f.text("parts-1")}, {f.text("part-2"), f.text("parts-2")}, {f.text("part-3"), f.text("parts-3")},
	} {
		if part.coating == "" {
			continue
		}
		count := form{url.Values{"parts": {cmp.Or(part.parts, "1")}}}
		n, err := count.number("parts", "parts of "+part.coating)
		if err != nil {
			return nil, false, err
		}
		parts = append(parts, piece.MixPart{Coating: part.coating, Parts: n})
	}
	return parts, len(parts) > 0 && f.text("weighed") == "yes", nil
}

// yesNo is yes, no, or not known.
func (f form) yesNo(key string) *bool {
	yes := f.text(key) == "yes"
	if !yes && f.text(key) != "no" {
		return nil
	}
	return &yes
}
