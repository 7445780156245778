package colour

import (
	"math"

	"huewright/internal/fault"
)

// hueNames are the names of hues up to a hue angle of CIELAB in degrees, of what is light and of what is dark: a dark orange is a brown.
// Our own choice.
var hueNames = []struct {
	below       float64
	light, dark string
}{
	{25, "red", "red"}, {52, "orange", "red-brown"}, {62, "orange", "brown"}, {70, "amber", "brown"}, {88, "amber", "yellow-brown"},
	{105, "yellow", "olive"},
	{165, "green", "green"}, {302, "blue", "blue"}, {340, "violet", "violet"}, {360, "red", "red"},
}

const (
	namedDark = 65.0 // L* below which a colour has the name of a dark one
	greyBelow = 35.0 // L* below which a colour without hue is black
	whiteFrom = 85.0 // from which it is white
)

// Name names a colour as a tint is asked for: colour.named with its hue, red, orange, amber, yellow, red-brown, brown, yellow-brown, olive,
// green, blue, violet, black, grey or white.
func Name(c Lab) fault.Note {
	return fault.Say("colour.named", "hue", hueName(c))
}

func hueName(c Lab) string {
	if math.Hypot(c.A, c.B) < leastHue {
		switch {
		case c.L < greyBelow:
			return "black"
		case c.L < whiteFrom:
			return "grey"
		}
		return "white"
	}
	hue := math.Mod(math.Atan2(c.B, c.A)*180/math.Pi+360, 360)
	for _, n := range hueNames {
		if hue < n.below && c.L < namedDark {
			return n.dark
		} else if hue < n.below {
			return n.light
		}
	}
	return "red"
}
