package imageio

import (
	"math"

	"huewright/colour"
)

// MeanRootCodes returns a function of a few upright pixels near one another, for a downsampled picture: it gives
// about their mean light as the root of it, 0–255. It overwrites places with where the file has them. Each place stands
// for cell × cell pixels round it, no more than so many across.
func (p *Photo) MeanRootCodes(across int) (cell int, of func(places []Pixel) (r, g, b uint8)) {
	pixels, shift := p.pixels.near(across)
	t, mean := p.transfer, pixels.mean
	if mean == nil {
		return 1, func(places []Pixel) (uint8, uint8, uint8) {
			var sum colour.LinearRGB
			for _, at := range places {
				c := p.Linear(int(at.X), int(at.Y))
				sum = colour.LinearRGB{R: sum.R + c.R, G: sum.G + c.G, B: sum.B + c.B}
			}
			share := 1 / float64(len(places))
			return rootCode(share * sum.R), rootCode(share * sum.G), rootCode(share * sum.B)
		}
	}
	stored := func(places []Pixel) (uint16, uint16, uint16) {
		if p.turned.number > 1 || shift > 0 {
			for i, at := range places {
				x, y := p.turned.stored(int(at.X), int(at.Y))
				places[i] = Pixel{int32(x >> shift), int32(y >> shift)}
			}
		}
		return mean(places)
	}
	if t.Matrix != nil || t.Convert != nil {
		return 1 << shift, func(places []Pixel) (uint8, uint8, uint8) {
			c := t.Linear(stored(places))
			return rootCode(c.R), rootCode(c.G), rootCode(c.B)
		}
	}
	codes := p.rootCodes()
	return 1 << shift, func(places []Pixel) (uint8, uint8, uint8) {
		r, g, b := stored(places)
		return codes[0][uint8(r)], codes[1][uint8(g)], codes[2][uint8(b)]
	}
}

// RootCodeRows returns a function that gives what MeanRootCodes does for whole rows of a photo made k times smaller, three codes a pixel:
// of a photo that is at hand at this size, as its file has it, for half the time. It is nil elsewhere.
func (p *Photo) RootCodeRows(k int) func(y int, codes []uint8) {
	pixels, shift := p.pixels.near(k)
	if 1<<shift != k || pixels.row == nil || p.turned.number > 1 || p.transfer.Matrix != nil || p.transfer.Convert != nil {
		return nil
	}
	roots := p.rootCodes()
	return func(y int, codes []uint8) {
		row := make([]uint8, 4*pixels.width)
		pixels.row(y, row)
		for ; len(codes) >= 3; codes, row = codes[3:], row[4:] {
			codes[0], codes[1], codes[2] = roots[0][row[0]], roots[1][row[1]], roots[2][row[2]]
		}
	}
}

// rootCodes are the roots of light as codes, by the codes of each channel, where its curve says all.
func (p *Photo) rootCodes() *[3][256]uint8 {
	roots := new([3][256]uint8)
	for k, curve := range p.transfer.Curves {
		for i, light := range curve[:256] {
			roots[k][i] = rootCode(float64(light))
		}
	}
	return roots
}

// LinearAbout returns Linear for a picture that is made smaller: each pixel stands for cell × cell of them round it, no more than so
// many across.
func (p *Photo) LinearAbout(across int) (cell int, of func(x, y int) colour.LinearRGB) {
	pixels, shift := p.pixels.near(across)
	if shift == 0 {
		return 1, p.Linear
	}
	return 1 << shift, func(x, y int) colour.LinearRGB {
		x, y = p.turned.stored(x, y)
		return p.transfer.Linear(pixels.code(x>>shift, y>>shift))
	}
}

// rootCode is the square root of light, 0–1, as a code.
func rootCode(light float64) uint8 {
	step := math.Floor(min(max(light, 0), 1)*(lightSteps-1) + 0.5)
	return uint8(255*math.Sqrt(step/(lightSteps-1)) + 0.5)
}

// lightSteps of light are told apart: the darkest code then has one of its own.
const lightSteps = 1 << 16
