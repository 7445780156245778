package imageio

import (
	"context"
	"math"

	"huewright/colour"
)

// A thumb is a photo made small enough to search: three codes a pixel, the square root of
// linear light on 0–255, which is near enough to how the eye steps.
type thumb struct {
	wide, high int
	scale      float64 // photo pixels to one of its own
	codes      []uint8
	left       []bool // left out of the search: black; nil for none
}

// thumbPoints is how many points along each side are averaged where a thumb's pixel covers
// more. Four points are enough against grain, and a fraction of the time of all.
const thumbPoints = 2

// thumb is the photo with every k × k pixels as one. What where rules out, as a coarser thumb has
// shown, is left out; nil rules out nothing.
func (p *Photo) thumb(ctx context.Context, k int, where *tiles, coarser float64) *thumb {
	t := &thumb{wide: p.Width / k, high: p.Height / k, scale: float64(k)}
	t.codes = make([]uint8, 3*t.wide*t.high)
	if where != nil {
		t.left = make([]bool, t.wide*t.high)
	}
	inside, mean := pointsWithin(k), p.meanRoots()
	t.everyRow(ctx, func(row int) {
		out := t.codes[3*row*t.wide:]
		places := make([]pixelPlace, len(inside))
		for column := range t.wide {
			if where != nil && !where.holds(float64(column), float64(row), coarser/t.scale) {
				t.left[row*t.wide+column] = true
				continue
			}
			for i, at := range inside {
				places[i] = pixelPlace{int32(column*k) + at.x, int32(row*k) + at.y}
			}
			out[3*column], out[3*column+1], out[3*column+2] = mean(places)
		}
	})
	return t
}

// pointsWithin lists which of k × k pixels stand for all of them.
func pointsWithin(k int) (at []pixelPlace) {
	n, stride := min(k, thumbPoints), 1
	if k == thumbPoints {
		stride = n + 1 // those on the diagonal do, in half the time
	}
	for i := 0; i < n*n; i += stride {
		at = append(at, pixelPlace{int32((2*(i%n) + 1) * k / (2 * n)), int32((2*(i/n) + 1) * k / (2 * n))})
	}
	return at
}

// meanRoots returns what gives about the mean light at a few upright pixels that are near one
// another, as the codes of a thumb. It leaves in places where the file has them.
func (p *Photo) meanRoots() func(places []pixelPlace) (r, g, b uint8) {
	t, mean := p.transfer, p.pixels.mean
	if mean == nil {
		return func(places []pixelPlace) (uint8, uint8, uint8) {
			var sum colour.LinearRGB
			for _, at := range places {
				c := p.Linear(int(at.x), int(at.y))
				sum = colour.LinearRGB{R: sum.R + c.R, G: sum.G + c.G, B: sum.B + c.B}
			}
			share := 1 / float64(len(places))
			return rootCode(share * sum.R), rootCode(share * sum.G), rootCode(share * sum.B)
		}
	}
	stored := func(places []pixelPlace) (uint16, uint16, uint16) {
		if p.lies.number > 1 {
			for i, at := range places {
				x, y := p.lies.stored(int(at.x), int(at.y))
				places[i] = pixelPlace{int32(x), int32(y)}
			}
		}
		return mean(places)
	}
	if t.matrix != nil || t.better != nil {
		return func(places []pixelPlace) (uint8, uint8, uint8) {
			c := t.linear(stored(places))
			return rootCode(c.R), rootCode(c.G), rootCode(c.B)
		}
	}
	var codes [3][256]uint8
	for k, curve := range t.curves {
		for i, light := range curve[:256] {
			codes[k][i] = rootCode(float64(light))
		}
	}
	return func(places []pixelPlace) (uint8, uint8, uint8) {
		r, g, b := stored(places)
		return codes[0][uint8(r)], codes[1][uint8(g)], codes[2][uint8(b)]
	}
}

// rootCode is the code of so much light, 0–1.
func rootCode(light float64) uint8 {
	return rootCodes[int(min(max(light, 0), 1)*(lightSteps-1)+0.5)]
}

// lightSteps of light are told apart: the darkest code then has one of its own.
const lightSteps = 1 << 16

var rootCodes = func() (codes [lightSteps]uint8) {
	for i := range codes {
		codes[i] = uint8(255*math.Sqrt(float64(i)/(lightSteps-1)) + 0.5)
	}
	return codes
}()

// rows is a part of the thumb, from one row to before another.
func (t *thumb) rows(from, to int) *thumb {
	part := &thumb{wide: t.wide, high: to - from, scale: t.scale, codes: t.codes[3*from*t.wide : 3*to*t.wide]}
	if t.left != nil {
		part.left = t.left[from*t.wide : to*t.wide]
	}
	return part
}

// roughness is, for each pixel, the largest step of any channel to the four beside it.
func (t *thumb) roughness(ctx context.Context) []uint8 {
	rough := make([]uint8, t.wide*t.high)
	const rows = 64
	inParts(ctx, t.high, rows, func(from, to int) {
		for y := from; y < to; y++ {
			t.stepsAlong(rough, y)
			if y+1 < to {
				t.stepsDown(rough, y, true, true)
			}
		}
		// Across the border of two parts each part does its own side.
		if from > 0 {
			t.stepsDown(rough, from-1, false, true)
		}
		if to < t.high {
			t.stepsDown(rough, to-1, true, false)
		}
		for i := from * t.wide; t.left != nil && i < to*t.wide; i++ {
			if t.left[i] {
				rough[i] = math.MaxUint8
			}
		}
	})
	return rough
}

// stepsAlong takes the steps within a row into the roughness of both pixels.
func (t *thumb) stepsAlong(rough []uint8, y int) {
	codes, out := t.codes[3*y*t.wide:3*(y+1)*t.wide], rough[y*t.wide:(y+1)*t.wide]
	if len(codes) < 3 {
		return
	}
	before := 0
	r, g, b := int(codes[0]), int(codes[1]), int(codes[2])
	for x := range out {
		codes = codes[3:]
		step := 0
		if len(codes) >= 3 {
			r1, g1, b1 := int(codes[0]), int(codes[1]), int(codes[2])
			step = max(apart(r, r1), apart(g, g1), apart(b, b1))
			r, g, b = r1, g1, b1
		}
		out[x] = max(out[x], uint8(max(before, step)))
		before = step
	}
}

// stepsDown takes the steps from row y to the next into the roughness of the upper and the lower one.
func (t *thumb) stepsDown(rough []uint8, y int, upper, lower bool) {
	up, down := t.codes[3*y*t.wide:3*(y+1)*t.wide], t.codes[3*(y+1)*t.wide:3*(y+2)*t.wide]
	above, below := rough[y*t.wide:(y+1)*t.wide], rough[(y+1)*t.wide:(y+2)*t.wide]
	for i, x := 0, 0; x < len(above) && x < len(below) && i+3 <= len(up) && i+3 <= len(down); i, x = i+3, x+1 {
		step := uint8(max(apart(int(up[i]), int(down[i])), apart(int(up[i+1]), int(down[i+1])), apart(int(up[i+2]), int(down[i+2]))))
		if upper {
			above[x] = max(above[x], step)
		}
		if lower {
			below[x] = max(below[x], step)
		}
	}
}

func apart(a, b int) int { return max(a-b, b-a) }

// everyRow calls f for each row, some at a time on all processors.
func (t *thumb) everyRow(ctx context.Context, f func(y int)) {
	const rows = 16
	inParts(ctx, t.high, rows, func(from, to int) {
		for y := from; y < to; y++ {
			f(y)
		}
	})
}
