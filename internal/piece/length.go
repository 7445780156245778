package piece

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"huewright/imageio"
)

// A Length is two marked points of a photo and how far apart they are.
type Length struct {
	From imageio.Point `json:"from"`
	To   imageio.Point `json:"to"`
	MM   float64       `json:"mm"`
}

const lengthAdvice = "two points and how far apart they are, as in: scale = { from = \"120,80\", to = \"120,980\", mm = 300 }"

func (s *Scale) length() (Length, error) {
	var points [2]imageio.Point
	for i, text := range []string{s.From, s.To} {
		at, ok := parsePoint(text)
		if !ok {
			return Length{}, &UseError{"scale", fmt.Sprintf("scale: %q is not \"x,y\"", text), lengthAdvice}
		}
		points[i] = at
	}
	return Length{points[0], points[1], s.MM}, nil
}

// ParseLength reads a known length in a photo: "x,y x,y=MM".
func ParseLength(s string) (Length, error) {
	fail := func(problem string, args ...any) (Length, error) {
		return Length{}, &UseError{"length", "length: " + fmt.Sprintf(problem, args...),
			"as in \"120,80 120,980=300\": two points of the photo and the millimetres between them"}
	}
	points, length, found := strings.Cut(s, "=")
	fields := strings.Fields(points)
	if !found || len(fields) != 2 {
		return fail("%q is not \"x,y x,y=MM\"", s)
	}
	mm, err := strconv.ParseFloat(strings.TrimSpace(length), 64)
	if err != nil {
		return fail("%q is not a length in millimetres", strings.TrimSpace(length))
	}
	from, okFrom := parsePoint(fields[0])
	to, okTo := parsePoint(fields[1])
	if !okFrom || !okTo {
		return fail("%q is not two points", points)
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
		return &UseError{"scale", fmt.Sprintf("scale: a length of %v mm", l.MM), lengthAdvice}
	}
	if math.Hypot(l.To.X-l.From.X, l.To.Y-l.From.Y) < 10 {
		return &UseError{"scale", "scale: the two points are nearer than 10 pixels", "mark two points far apart, as far as the piece goes"}
	}
	return nil
}
