package imageio

import (
	"encoding/json"
	"math"
	"strconv"
	"strings"

	"huewright/internal/fault"
)

// ParseOutline reads "x,y,w,h" as a rectangle and "x,y x,y x,y …" as a polygon. Decimals are
// allowed, and so is closing a polygon by its first corner. Every error is a fault of kind Use.
func ParseOutline(s string) (Outline, error) {
	fields := strings.Fields(s)
	if len(fields) == 0 {
		return Outline{}, fault.New(fault.Use, "outline.empty")
	}
	if len(fields) == 1 {
		n, err := parseNumbers(fields[0], 4)
		if err != nil {
			return Outline{}, err
		}
		if n[2] <= 0 || n[3] <= 0 {
			return Outline{}, fault.New(fault.Use, "outline.no-size", "wide", n[2], "high", n[3])
		}
		return checked(Rect(n[0], n[1], n[2], n[3]))
	}
	if len(fields) > mostCorners {
		return Outline{}, fault.New(fault.Use, "outline.many-corners", "corners", len(fields), "most", mostCorners)
	}
	var o Outline
	for _, field := range fields {
		n, err := parseNumbers(field, 2)
		if err != nil {
			return Outline{}, err
		}
		o.Points = append(o.Points, Point{n[0], n[1]})
	}
	if last := len(o.Points) - 1; last >= 3 && o.Points[last] == o.Points[0] {
		o.Points = o.Points[:last]
	}
	return checked(o)
}

// mostCorners keeps the search for edges that cross, which looks at each two, under a tenth of a second.
const mostCorners = 2000

func checked(o Outline) (Outline, error) {
	if err := o.Check(); err != nil {
		return Outline{}, err
	}
	return o, nil
}

func parseNumbers(s string, want int) ([]float64, error) {
	words := strings.Split(s, ",")
	if len(words) != want {
		return nil, fault.New(fault.Use, "outline.numbers", "words", s, "have", len(words), "need", want)
	}
	numbers := make([]float64, want)
	for i, word := range words {
		v, err := strconv.ParseFloat(word, 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, fault.New(fault.Use, "outline.not-a-number", "word", word)
		}
		numbers[i] = v
	}
	return numbers, nil
}

// String writes the outline as ParseOutline reads it; an upright rectangle comes out as one.
// Holes are left out: that form has no place for them.
func (o Outline) String() string {
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	if x, y, w, h, ok := o.asRect(); ok {
		return strings.Join([]string{number(x), number(y), number(w), number(h)}, ",")
	}
	words := make([]string, len(o.Points))
	for i, p := range o.Points {
		words[i] = number(p.X) + "," + number(p.Y)
	}
	return strings.Join(words, " ")
}

// asRect reports whether the outline is one that Rect makes, exactly.
func (o Outline) asRect() (x, y, w, h float64, ok bool) {
	if len(o.Points) != 4 {
		return
	}
	a, c := o.Points[0], o.Points[2]
	x, y, w, h = a.X, a.Y, c.X-a.X, c.Y-a.Y
	again := Rect(x, y, w, h).Points
	for i, p := range o.Points {
		if p != again[i] {
			return x, y, w, h, false
		}
	}
	return x, y, w, h, w > 0 && h > 0
}

// outlineForm is how an outline with holes is written; one without is plain text.
type outlineForm struct {
	Outline string   `json:"outline"`
	Holes   []string `json:"holes"`
}

// MarshalText writes the outline as ParseOutline reads it, or, when it has holes, as JSON.
func (o Outline) MarshalText() ([]byte, error) {
	if len(o.Holes) == 0 {
		return []byte(o.String()), nil
	}
	form := outlineForm{Outline: o.String()}
	for _, hole := range o.Holes {
		form.Holes = append(form.Holes, Outline{Points: hole}.String())
	}
	return json.Marshal(form)
}

// UnmarshalText reads what MarshalText writes. Every error is a fault of kind Use.
func (o *Outline) UnmarshalText(text []byte) error {
	form := outlineForm{Outline: string(text)}
	if strings.HasPrefix(strings.TrimSpace(form.Outline), "{") {
		form = outlineForm{}
		if err := json.Unmarshal(text, &form); err != nil {
			return fault.New(fault.Use, "outline.unreadable").Because(err)
		}
	}
	read, err := ParseOutline(form.Outline)
	if err != nil {
		return err
	}
	for _, s := range form.Holes {
		hole, err := ParseOutline(s)
		if err != nil {
			return err
		}
		read.Holes = append(read.Holes, hole.Points)
	}
	*o = read
	return nil
}
