package imageio

import "math"

// A thumb is a photo made small enough to search: three codes a pixel, the square root of
// linear light on 0–255, which is near enough to how the eye steps.
type thumb struct {
	wide, high int
	scale      float64 // photo pixels to one of its own
	codes      []uint8
}

// thumbPoints is how many points along each side are averaged where a thumb's pixel covers
// more. Four points are enough against grain, and a fraction of the time of all.
const thumbPoints = 2

// thumb is the photo with every k × k pixels as one.
func (p *Photo) thumb(k int) *thumb {
	t := &thumb{wide: p.Width / k, high: p.Height / k, scale: float64(k)}
	t.codes = make([]uint8, 3*t.wide*t.high)
	n := min(k, thumbPoints)
	t.everyRow(func(row int) {
		out := t.codes[3*row*t.wide:]
		for column := range t.wide {
			var r, g, b float64
			for i := range n * n {
				x := column*k + (2*(i%n)+1)*k/(2*n)
				y := row*k + (2*(i/n)+1)*k/(2*n)
				c := p.Linear(x, y)
				r, g, b = r+c.R, g+c.G, b+c.B
			}
			share := 1 / float64(n*n)
			out[3*column], out[3*column+1], out[3*column+2] = rootCode(r*share), rootCode(g*share), rootCode(b*share)
		}
	})
	return t
}

func rootCode(light float64) uint8 {
	return uint8(255*math.Sqrt(min(max(light, 0), 1)) + 0.5)
}

// halved is the thumb with every 2 × 2 pixels as one.
func (t *thumb) halved() *thumb {
	h := &thumb{wide: t.wide / 2, high: t.high / 2, scale: 2 * t.scale}
	h.codes = make([]uint8, 3*h.wide*h.high)
	for y := range h.high {
		upper, lower := t.codes[3*2*y*t.wide:], t.codes[3*(2*y+1)*t.wide:]
		for x := range 3 * h.wide {
			i := x/3*6 + x%3
			sum := int(upper[i]) + int(upper[i+3]) + int(lower[i]) + int(lower[i+3])
			h.codes[3*y*h.wide+x] = uint8((sum + 2) / 4)
		}
	}
	return h
}

// roughness is, for each pixel, the largest step of any channel to the four beside it.
func (t *thumb) roughness() []uint8 {
	rough := make([]uint8, t.wide*t.high)
	t.everyRow(func(y int) {
		for x := range t.wide {
			i := y*t.wide + x
			most := uint8(0)
			if x > 0 {
				most = max(most, t.step(i, i-1))
			}
			if x < t.wide-1 {
				most = max(most, t.step(i, i+1))
			}
			if y > 0 {
				most = max(most, t.step(i, i-t.wide))
			}
			if y < t.high-1 {
				most = max(most, t.step(i, i+t.wide))
			}
			rough[i] = most
		}
	})
	return rough
}

func (t *thumb) step(i, k int) uint8 {
	a, b := t.codes[3*i:3*i+3], t.codes[3*k:3*k+3]
	return max(apart(a[0], b[0]), apart(a[1], b[1]), apart(a[2], b[2]))
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
