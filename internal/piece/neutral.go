package piece

import (
	"strconv"
	"strings"

	"huewright/imageio"
	"huewright/internal/fault"
)

// A Neutral is a slip of paper or a card without hue, marked in a photo to tell of the light.
type Neutral struct {
	Outline   imageio.Outline `json:"outline"`
	Lightness float64         `json:"lightness,omitempty"` // L*; 0 means that of all neutrals of the photo
}

// defaultNeutralLightness is that of white paper: common practice, no source.
const defaultNeutralLightness = 94

// ParseNeutral reads an outline, "x,y,w,h" or "x,y x,y x,y …", before which the slip's own
// lightness may stand: "50: x,y,w,h".
func ParseNeutral(s string) (Neutral, error) {
	var n Neutral
	if lightness, rest, found := strings.Cut(s, ":"); found {
		lightness = strings.TrimSpace(lightness)
		v, err := strconv.ParseFloat(lightness, 64)
		if err != nil || !isLightness(v) {
			return n, atKey("neutral", "piece.slip-lightness", "value", lightness, "low", leastLightness, "high", mostLightness)
		}
		n.Lightness, s = v, rest
	}
	outline, err := imageio.ParseOutline(strings.TrimSpace(s))
	if err != nil {
		return n, &keyFault{"neutral", fault.Of(err)}
	}
	n.Outline = outline
	return n, nil
}

// String writes the slip as ParseNeutral reads it.
func (n Neutral) String() string {
	if n.Lightness == 0 {
		return n.Outline.String()
	}
	return strconv.FormatFloat(n.Lightness, 'g', -1, 64) + ": " + n.Outline.String()
}

// L* of a card or a slip of paper without hue, from nearly black to the lightest there is.
const (
	leastLightness = 5.0
	mostLightness  = 100.0
)

func isLightness(v float64) bool { return v >= leastLightness && v <= mostLightness }
