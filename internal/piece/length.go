package piece

import (
	"math"
	"strconv"
	"strings"

	"huewright/imageio"
	"huewright/internal/fault"
)

// A Length is two marked points of a photo and how far apart they are.
type Length struct {
	From imageio.Point `json:"from"`
	To   imageio.Point `json:"to"`
	MM   float64       `json:"mm"`
}

func (s *Scale) length() (Length, error) {
	var points [2]imageio.Point
	for i, text := range []string{s.From, s.To} {
		at, ok := parsePoint(text)
		if !ok {
			return Length{}, atKey("scale", "piece.point", "text", text)
		}
		points[i] = at
	}
	return Length{points[0], points[1], s.MM}, nil
}

// ParseLength reads a known length in a photo: "x,y x,y=MM".
func ParseLength(s string) (Length, error) {
	wrong := fault.New(fault.Use, "piece.length", "text", s)
	points, length, found := strings.Cut(s, "=")
	fields := strings.Fields(points)
	if !found || len(fields) != 2 {
		return Length{}, wrong
	}
	mm, err := strconv.ParseFloat(strings.TrimSpace(length), 64)
	if err != nil {
		return Length{}, wrong
	}
	from, okFrom := parsePoint(fields[0])
	to, okTo := parsePoint(fields[1])
	if !okFrom || !okTo {
		return Length{}, wrong
	}
	l := Length{from, to, mm}
	return l, l.check()
}

func (l *Length) check() error {
	if l == nil {
		return nil
	}
	const longest = 100_000
	if !(l.MM > 0 && l.MM <= longest) {
		return atKey("scale", "piece.length-mm", "value", l.MM, "high", float64(longest))
	}
	if math.Hypot(l.To.X-l.From.X, l.To.Y-l.From.Y) < 10 {
		return atKey("scale", "piece.length-short", "pixels", 10)
	}
	return nil
}
