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
	err := p.Downsample(ctx, d, func(i int, r, g, b uint8) {
		red, green, blue := rootLog[r], rootLog[g], rootLog[b]
		s.of[redGreen][i], s.of[blueGreen][i] = red-green, blue-green
		s.of[lightness][i] = float32(math.Log(0.2126*rootLight(r) + 0.7152*rootLight(g) + 0.0722*rootLight(b)))
	})
	return s, err
}

// rootLog is the logarithm of light by the code of its root.
var rootLog = func() (logs [256]float32) {
	for i := range logs {
		logs[i] = float32(math.Log(rootLight(uint8(i))))
	}
	return logs
}()

// rootLight is light by the code of its root, with what is added to it.
func rootLight(code uint8) float64 {
	root := float64(code) / 255
	return root*root + darkestLight
}
