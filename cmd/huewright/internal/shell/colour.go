package shell

import (
	"strconv"
	"strings"

	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// Colour reads "L,a,b" or "#rrggbb".
func Colour(s string) (colour.Lab, error) {
	wrong := fault.New(fault.Use, "use.colour", "text", s)
	if strings.HasPrefix(s, "#") {
		c, err := colour.ParseHex(s)
		if err != nil {
			return colour.Lab{}, wrong.Because(err)
		}
		return c.Linear().Lab(), nil
	}
	var v []float64
	for _, field := range strings.Split(s, ",") {
		f, err := strconv.ParseFloat(strings.TrimSpace(field), 64)
		if err != nil {
			return colour.Lab{}, wrong.Because(err)
		}
		v = append(v, f)
	}
	if err := piece.CheckLab(v); err != nil {
		return colour.Lab{}, InFlag(strconv.Quote(s), `"44.1,14.2,19.8"`, err)
	}
	return colour.Lab{L: v[0], A: v[1], B: v[2]}, nil
}
