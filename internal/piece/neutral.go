package piece

import (
	"fmt"
	"strconv"
	"strings"

	"huewright/imageio"
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
	fail := func(err error) error {
		return &UseError{"neutral", "neutral: " + err.Error(), "as in \"820,140,120,90\", or with its own lightness \"50: 820,140,120,90\""}
	}
	var n Neutral
	if lightness, rest, found := strings.Cut(s, ":"); found {
		v, err := strconv.ParseFloat(strings.TrimSpace(lightness), 64)
		if err != nil || !isLightness(v) {
			return n, fail(fmt.Errorf("%q is not a lightness between 5 and 100", strings.TrimSpace(lightness)))
		}
		n.Lightness, s = v, rest
	}
	outline, err := imageio.ParseOutline(strings.TrimSpace(s))
	if err != nil {
		return n, fail(err)
	}
	n.Outline = outline
	return n, nil
}

func isLightness(v float64) bool { return v >= 5 && v <= 100 }
