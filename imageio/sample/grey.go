package sample

import (
	"context"
	"math"

	"huewright/colour"
	"huewright/imageio"
	"huewright/internal/fault"
	"huewright/internal/parallel"
	"huewright/internal/stat"
)

// A cast is how far light is from grey: the largest natural logarithm of a ratio of two of its channels. The white
// and grey patches of the chart in 40 photos by phones, cameras and webcams have 0.1 on average; the worst are 0.4 towards brown, and
// 0.85 towards green. Pale wood that a camera balances for white has 0.6, brown wood 0.8 and more. Our own choice between them.
const (
	mostBrownCast  = 0.60 // beyond it nothing is taken for grey that is as brown as wood
	mostOtherCast  = 0.90 // the same towards any other hue
	doubtfulCast   = 0.35 // beyond it a surface is none if much else in the photo is nearer to grey
	muchElse       = 0.03 // of the photo's pixels that are bright enough to tell
	greyer         = 0.5  // times the surface's cast, at most, is nearer to grey
	brightEnough   = 0.25 // times the surface's luminance, at least, tells of a hue
	paperLuminance = 0.40 // recorded; a photo shows white paper brighter than that, and a mid-grey card darker
	cardLuminance  = 0.25 // recorded; darker than that it is a card
	paperBesides   = 0.7  // times the brightest in the photo, at least, is paper where the two above leave it open
	aroundSide     = 64   // points of the photo looked at along each side
)

// castOf is the largest natural logarithm of a ratio of two channels of light.
func castOf(c colour.LinearRGB) float64 {
	low, high := max(min(c.R, c.G, c.B), 1e-4), max(c.R, c.G, c.B, 1e-4)
	return math.Log(high / low)
}

// CheckGrey refuses, as a fault of kind Photo, a patch that is not grey, be it wood or a card of another colour. A patch that may be grey
// in coloured light is a warning. The other error is the context's.
func CheckGrey(ctx context.Context, p *imageio.Photo, patch Patch) (fault.Note, error) {
	cast := castOf(patch.Mean)
	if cast < doubtfulCast {
		return fault.Note{}, nil
	}
	around, err := lookAround(ctx, p)
	if err != nil {
		return fault.Note{}, err
	}
	hue := hueOf(patch.Mean)
	if cast > mostOtherCast || hue == "brown" && (cast > mostBrownCast || around.greyer(patch.Mean) > muchElse) {
		return fault.Note{}, Options{}.in(p, fault.New(fault.Photo, "area.not-grey", "hue", hue))
	}
	return fault.Say("area.hardly-grey", "hue", hue), nil
}

// LooksLikePaper reports whether a grey patch is so bright in its photo that it is white paper rather than a mid-grey card.
func LooksLikePaper(ctx context.Context, p *imageio.Photo, patch Patch) (bool, error) {
	switch y := patch.Mean.Luminance(); {
	case y >= paperLuminance:
		return true, nil
	case y < cardLuminance:
		return false, nil
	}
	around, err := lookAround(ctx, p)
	if err != nil {
		return false, err
	}
	return patch.Mean.Luminance() >= paperBesides*around.brightest(), nil
}

// hueOf says which way light is from grey.
func hueOf(c colour.LinearRGB) string {
	switch {
	case c.R >= c.G && c.G >= c.B:
		return "brown"
	case c.B >= c.R && c.B >= c.G:
		return "blue"
	case c.G >= c.R && c.G >= c.B:
		return "green"
	}
	return "red"
}

// surroundings are points of a photo, evenly spread, as far as they are not clipped.
type surroundings struct{ light []colour.LinearRGB }

func lookAround(ctx context.Context, p *imageio.Photo) (surroundings, error) {
	var s surroundings
	rows := make([][]colour.LinearRGB, aroundSide)
	err := parallel.For(ctx, aroundSide, func(row int) {
		for column := range aroundSide {
			x, y := (2*column+1)*p.Width/(2*aroundSide), (2*row+1)*p.Height/(2*aroundSide)
			if !p.Clipped(x, y) {
				rows[row] = append(rows[row], p.Linear(x, y))
			}
		}
	})
	for _, row := range rows {
		s.light = append(s.light, row...)
	}
	return s, err
}

// greyer is the share of what is bright enough to tell that is much nearer to grey than c.
func (s surroundings) greyer(c colour.LinearRGB) float64 {
	n, of := 0.0, 0.0
	for _, at := range s.light {
		if at.Luminance() < brightEnough*c.Luminance() {
			continue
		}
		of++
		if castOf(at) < greyer*castOf(c) {
			n++
		}
	}
	return n / max(of, 1)
}

// brightest is the luminance that one point in fifty reaches.
func (s surroundings) brightest() float64 {
	if len(s.light) == 0 {
		return 0
	}
	all := make([]float64, len(s.light))
	for i, c := range s.light {
		all[i] = c.Luminance()
	}
	return stat.Quantile(all, 0.98)
}
