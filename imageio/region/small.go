package region

import (
	"context"
	"math"

	"huewright/imageio"
)

// mostSmall is the most pixels of the small picture: enough for the edge of a stile, few enough to be quick. Our own choice.
const mostSmall = 600_000

// darkestLight is added to light before its logarithm, so that noise in shadows is no colour.
const darkestLight = 0.004

// whiteLight is added to each channel before ratios are taken, as a share of the luminance: about what the gloss of a wood of middling
// lightness adds to it. Orange woods have next to no blue in the primaries of sRGB: of that little the logarithm is noise and gloss, and
// within one cupboard its standard deviation was 0.6 instead of 0.25, where other woods are apart by 0.2. Our own choice.
const whiteLight = 0.1

// The features of a pixel, by index: a change of the lamp's brightness moves only the last two.
const (
	redGreen  = iota // ln R/G, linear light
	blueGreen        // ln B/G
	lightness        // ln luminance
	contrast         // ln of how much lightness changes within some pixels; of cells only
	features
)

// small is a picture of at most mostSmall pixels.
type small struct {
	wide, high int
	step       float64             // pixels of the photo on a side of one of its own
	of         [contrast][]float32 // features, by pixel
}

// shrink makes the small picture of a photo.
func shrink(ctx context.Context, p *imageio.Photo) (*small, error) {
	d := p.Downsampling(mostSmall)
	s := &small{wide: d.Width, high: d.Height, step: d.Step}
	for f := range s.of {
		s.of[f] = make([]float32, s.wide*s.high)
	}
	return s, p.Downsample(ctx, d, s.describe)
}

// describe works out the features of a pixel from the roots of its light, 0–255.
func (s *small) describe(i int, r, g, b uint8) {
	red, green, blue := rootLight(r), rootLight(g), rootLight(b)
	all := 0.2126*red + 0.7152*green + 0.0722*blue
	more := darkestLight + whiteLight*all
	s.of[redGreen][i] = float32(math.Log((red + more) / (green + more)))
	s.of[blueGreen][i] = float32(math.Log((blue + more) / (green + more)))
	s.of[lightness][i] = float32(math.Log(all + darkestLight))
}

// rootLight is light by the code of its root.
func rootLight(code uint8) float64 {
	root := float64(code) / 255
	return root * root
}
