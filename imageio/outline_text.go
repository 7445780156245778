package imageio

import (
	"encoding/json"
	"math"
	"strconv"
	"strings"

	"huewright/internal/fault"
)

// ParseOutline reads "x,y,w,h" as a rectangle and "x,y x,y x,y …" as a polygon. Further parts follow after a semicolon, and holes after
// a semicolon and "not": "0,0,40,90; 60,0,40,90; not 10,10,5,5". Decimals are allowed, and so is closing a polygon by its first corner.
// Every error is a fault of kind Use.
func ParseOutline(s string) (Outline, error) {
	var o Outline
	corners := 0
	for i, text := range strings.Split(s, ";") {
		hole := false
		if text = strings.TrimSpace(text); i > 0 {
			text, hole = strings.CutPrefix(text, "not ")
		}
		ring, err := parseRing(text)
		if err != nil {
			return Outline{}, err
		}
		if corners += len(ring); corners > mostCorners {
			return Outline{}, fault.New(fault.Use, "outline.many-corners", "corners", corners, "most", mostCorners)
		}
		switch {
		case i == 0:
			o.Points = ring
		case hole:
			o.Holes = append(o.Holes, ring)
		default:
			o.More = append(o.More, ring)
		}
	}
	if err := o.Check(); err != nil {
		return Outline{}, err
	}
	return o, nil
}

func parseRing(s string) ([]Point, error) {
	fields := strings.Fields(s)
	if len(fields) == 0 {
		return nil, fault.New(fault.Use, "outline.empty")
	}
	if len(fields) == 1 {
		n, err := parseNumbers(fields[0], 4)
		if err != nil {
			return nil, err
		}
		if n[2] <= 0 || n[3] <= 0 {
			return nil, fault.New(fault.Use, "outline.no-size", "wide", n[2], "high", n[3])
		}
		return Rect(n[0], n[1], n[2], n[3]).Points, nil
	}
	if len(fields) > mostCorners {
		return nil, fault.New(fault.Use, "outline.many-corners", "corners", len(fields), "most", mostCorners)
	}
	var ring []Point
	for _, field := range fields {
		n, err := parseNumbers(field, 2)
		if err != nil {
			return nil, err
		}
		ring = append(ring, Point{n[0], n[1]})
	}
	if last := len(ring) - 1; last >= 3 && ring[last] == ring[0] {
		ring = ring[:last]
	}
	return ring, nil
}

// mostCorners of an outline keep the search for edges that cross, which looks at each two of a ring, under a tenth of a second.
const mostCorners = 2000

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

// String writes the outline as ParseOutline reads it; an upright rectangle comes out as one, no outline as nothing.
func (o Outline) String() string {
	all := []string{ringText(o.Points)}
	for _, part := range o.More {
		all = append(all, ringText(part))
	}
	for _, hole := range o.Holes {
		all = append(all, "not "+ringText(hole))
	}
	return strings.Join(all, "; ")
}

func ringText(ring []Point) string {
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	if x, y, w, h, ok := asRect(ring); ok {
		return strings.Join([]string{number(x), number(y), number(w), number(h)}, ",")
	}
	words := make([]string, len(ring))
	for i, p := range ring {
		words[i] = number(p.X) + "," + number(p.Y)
	}
	return strings.Join(words, " ")
}

// asRect reports whether a ring is one that Rect makes, exactly.
func asRect(ring []Point) (x, y, w, h float64, ok bool) {
	if len(ring) != 4 {
		return
	}
	a, c := ring[0], ring[2]
	x, y, w, h = a.X, a.Y, c.X-a.X, c.Y-a.Y
	again := Rect(x, y, w, h).Points
	for i, p := range ring {
		if p != again[i] {
			return x, y, w, h, false
		}
	}
	return x, y, w, h, w > 0 && h > 0
}

// MarshalText writes the outline as ParseOutline reads it.
func (o Outline) MarshalText() ([]byte, error) { return []byte(o.String()), nil }

// UnmarshalText reads what MarshalText writes, and the JSON that outlines with holes were written as once. Every error is a fault of
// kind Use.
func (o *Outline) UnmarshalText(text []byte) error {
	s := string(text)
	if strings.HasPrefix(strings.TrimSpace(s), "{") {
		var form struct {
			Outline string   `json:"outline"`
			Holes   []string `json:"holes"`
		}
		if err := json.Unmarshal(text, &form); err != nil {
			return fault.New(fault.Use, "outline.unreadable").Because(err)
		}
		s = strings.Join(append([]string{form.Outline}, form.Holes...), "; not ")
	}
	read, err := ParseOutline(s)
	if err == nil {
		*o = read
	}
	return err
}
