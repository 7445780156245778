package words

import (
	"fmt"
	"math"
)

// terms are words of the trade that differ: metric and UK first, US second. Common practice, no source.
var terms = map[string][2]string{
	"spirits":   {"white spirit", "mineral spirits"},
	"alcohol":   {"meths", "denatured alcohol"},
	"thinner":   {"cellulose thinner", "lacquer thinner"},
	"tin":       {"tin", "can"},
	"scuff":     {"rub down", "scuff"},
	"Scuff":     {"Rub down", "Scuff"},
	"wire wool": {"wire wool", "steel wool"},
	"grit 100":  {"P100", "100 grit"},
	"mask":      {"FFP2 mask", "N95 mask"},
	"lead mask": {"an FFP3 mask", "a P100 mask"},
	"tooth":     {"a key", "tooth"},
	"vacuum":    {"an H-class (HEPA) vacuum", "a HEPA vacuum"},
	"Alcohol":   {"Meths", "Denatured alcohol"},
	"grey pad":  {"grey pad", "gray pad"},
	"filter":    {"A2P3 filter", "organic vapor and P100 filter"},
}

// term is a word of the trade in the speaker's vocabulary.
func (s Speaker) term(name string) string {
	pair, known := terms[name]
	if !known {
		return "{@" + name + "}"
	}
	if s.US {
		return pair[1]
	}
	return pair[0]
}

// Exact, by definition: the international foot, the US fluid ounce, degrees Fahrenheit.
const (
	footInMetres       = 0.3048
	inchInMillimetres  = 25.4
	fluidOunceInMillis = 29.5735295625
	fluidOuncesInQuart = 32
)

// quantity is a number with its unit, in the speaker's units.
func (s Speaker) quantity(format string, x float64) (string, bool) {
	switch format {
	case "temperature": // °C
		if s.US {
			return decimal(x*9/5+32, 0) + " °F", true
		}
		return decimal(x, 0) + " °C", true
	case "volume": // ml
		return s.volume(x), true
	case "area": // m²
		return s.area(x), true
	case "length": // mm
		if s.US {
			return figures(x/inchInMillimetres) + " in", true
		}
		if x >= 1000 {
			return figures(x/1000) + " m", true
		}
		return figures(x) + " mm", true
	case "duration": // hours
		return duration(x), true
	}
	return "", false
}

// area is written in the smaller unit where the larger would be a fraction that nobody can picture.
func (s Speaker) area(squareMetres float64) string {
	if s.US {
		feet := squareMetres / (footInMetres * footInMetres)
		if feet < 1 {
			return figures(feet*144) + " in²"
		}
		return figures(feet) + " ft²"
	}
	if squareMetres < 0.1 {
		return figures(squareMetres*1e4) + " cm²"
	}
	return figures(squareMetres) + " m²"
}

func (s Speaker) volume(millilitres float64) string {
	if s.US {
		ounces := millilitres / fluidOunceInMillis
		if ounces >= fluidOuncesInQuart {
			return figures(ounces/fluidOuncesInQuart) + " qt"
		}
		return figures(ounces) + " fl oz"
	}
	if millilitres >= 1000 {
		return figures(millilitres/1000) + " L"
	}
	return decimal(math.Max(1, math.Round(millilitres)), 0) + " ml"
}

// figures is a number in two figures, or whole: 0.034, 1.5, 12, 130. What is not nothing never reads as nothing.
func figures(x float64) string {
	if x == 0 {
		return "0"
	}
	return decimal(x, max(0, 1-int(math.Floor(math.Log10(math.Abs(x))))))
}

// duration is a time in words: 45 minutes, an hour, 4 hours, 2½ hours, 3 days.
func duration(hours float64) string {
	switch {
	case hours < 0.9:
		return fmt.Sprintf("%.0f minutes", math.Max(1, math.Round(60*hours)))
	case hours < 1.25:
		return "an hour"
	case hours < 48:
		half := math.Round(2*hours) / 2
		whole := math.Floor(half)
		if half > whole {
			return fmt.Sprintf("%.0f½ hours", whole)
		}
		return fmt.Sprintf("%.0f hours", whole)
	}
	return fmt.Sprintf("%.0f days", math.Round(hours/24))
}
