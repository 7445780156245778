package imageio

import "math"

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
func (p *Photo) thumb(k int, where *tiles, coarser float64) *thumb {
	t := &thumb{wide: p.Width / k, high: p.Height / k, scale: float64(k)}
	t.codes = make([]uint8, 3*t.wide*t.high)
	if where != nil {
		t.left = make([]bool, t.wide*t.high)
	}
	n := min(k, thumbPoints)
	points, stride := n*n, 1
	if k == thumbPoints {
		points, stride = n, n+1 // those on the diagonal do, in half the time
	}
	t.everyRow(func(row int) {
		out := t.codes[3*row*t.wide:]
		for column := range t.wide {
			if where != nil && !where.holds(float64(column), float64(row), coarser/t.scale) {
				t.left[row*t.wide+column] = true
				continue
			}
			var r, g, b float64
			for i := 0; i < n*n; i += stride {
				x := column*k + (2*(i%n)+1)*k/(2*n)
				y := row*k + (2*(i/n)+1)*k/(2*n)
				c := p.Linear(x, y)
				r, g, b = r+c.R, g+c.G, b+c.B
			}
			share := 1 / float64(points)
			out[3*column], out[3*column+1], out[3*column+2] = rootCode(r*share), rootCode(g*share), rootCode(b*share)
		}
	})
	return t
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
func (t *thumb) roughness() []uint8 {
	rough := make([]uint8, t.wide*t.high)
	const rows = 64
	inParts(t.high, rows, func(from, to int) {
		for y := from; y < to; y++ {
			t.stepsAlong(rough, y)
			if y+1 < to {
				t.stepsDown(rough, y, 0, 1)
			}
		}
		// Across the border of two parts each part does its own side.
		if from > 0 {
			t.stepsDown(rough, from-1, 1, 1)
		}
		if to < t.high {
			t.stepsDown(rough, to-1, 0, 0)
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
	for x := 0; x+1 < len(out); x++ {
		c := codes[3*x : 3*x+6 : 3*x+6]
		step := max(apart(c[0], c[3]), apart(c[1], c[4]), apart(c[2], c[5]))
		out[x], out[x+1] = max(out[x], step), max(out[x+1], step)
	}
}

// stepsDown takes the steps from row y to the next into the roughness of rows y+from … y+to.
func (t *thumb) stepsDown(rough []uint8, y, from, to int) {
	up, down := t.codes[3*y*t.wide:3*(y+1)*t.wide], t.codes[3*(y+1)*t.wide:3*(y+2)*t.wide]
	for x := range t.wide {
		a, b := up[3*x:3*x+3:3*x+3], down[3*x:3*x+3:3*x+3]
		step := max(apart(a[0], b[0]), apart(a[1], b[1]), apart(a[2], b[2]))
		for row := y + from; row <= y+to; row++ {
			if i := row*t.wide + x; step > rough[i] {
				rough[i] = step
			}
		}
	}
}

func apart(a, b uint8) uint8 {
	if a > b {
		return a - b
	}
	return b - a
}

// everyRow calls f for each row, some at a time on all processors.
func (t *thumb) everyRow(f func(y int)) {
	const rows = 16
	inParts(t.high, rows, func(from, to int) {
		for y := from; y < to; y++ {
			f(y)
		}
	})
}
