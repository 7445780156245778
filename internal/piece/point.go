package piece

import (
	"math"
	"strconv"
	"strings"

	"huewright/colour"
	"huewright/imageio"
	"huewright/internal/fault"
)

// ParsePoint reads "x,y" in upright pixels.
func ParsePoint(s string) (imageio.Point, error) {
	at, ok := parsePoint(s)
	if !ok {
		return at, fault.New(fault.Use, "piece.point", "text", s)
	}
	return at, nil
}

func parsePoint(s string) (imageio.Point, bool) {
	x, y, found := strings.Cut(s, ",")
	px, errX := strconv.ParseFloat(x, 64)
	py, errY := strconv.ParseFloat(y, 64)
	ok := found && errX == nil && errY == nil && !math.IsNaN(px+py) && !math.IsInf(px+py, 0)
	return imageio.Point{X: px, Y: py}, ok
}

// pointsText are points as ParsePoint and ParseCorners read them.
func pointsText(points ...imageio.Point) string {
	all := make([]string, len(points))
	for i, p := range points {
		all[i] = strconv.FormatFloat(p.X, 'g', -1, 64) + "," + strconv.FormatFloat(p.Y, 'g', -1, 64)
	}
	return strings.Join(all, " ")
}

// CheckLab returns the fault of figures that are not L*, a*, b*, or nil.
func CheckLab(v []float64) error {
	if len(v) != 3 {
		return fault.New(fault.Use, "piece.lab-figures", "n", len(v))
	}
	for i, name := range []string{"L*", "a*", "b*"} {
		low, high := -150.0, 150.0
		if i == 0 {
			low, high = 0, 100
		}
		if math.IsNaN(v[i]) || v[i] < low || v[i] > high {
			return fault.New(fault.Use, "piece.lab-range", "axis", name, "value", v[i], "low", low, "high", high)
		}
	}
	return nil
}

// ParseColour reads a colour as three figures, L*, a*, b*, or as a code, #7a5a40.
func ParseColour(text string) (c colour.Lab, err error) {
	wrong := fault.New(fault.Use, "piece.colour", "text", text)
	if strings.HasPrefix(text, "#") {
		rgb, err := colour.ParseHex(text)
		if err != nil {
			return c, wrong
		}
		return rgb.Linear().Lab(), nil
	}
	parts := strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ' ' || r == ';' })
	figures := []*float64{&c.L, &c.A, &c.B}
	if len(parts) != len(figures) {
		return c, wrong
	}
	for i, p := range parts {
		if *figures[i], err = strconv.ParseFloat(p, 64); err != nil {
			return c, wrong
		}
	}
	return c, nil
}
