package imageio

import "math"

// A thumb is a photo made small enough to search: three codes a pixel, the square root of
// linear light on 0–255, which is near enough to how the eye steps.
type thumb struct {
	wide, high int
	scale      float64 // photo pixels to one of its own
	codes      []uint8
	quiet      *quietMap // where nothing is looked for and the codes are 0; nil means nowhere
	top        int       // of its rows, in pixels of its own from the photo's
}

// thumbPoints is how many points along each side are averaged where a thumb's pixel covers
// more. Four points are enough against grain, and a fraction of the time of all.
const thumbPoints = 2

// thumb is the photo with every k × k pixels as one, but for its quiet parts.
func (p *Photo) thumb(k int, quiet *quietMap) *thumb {
	t := &thumb{wide: p.Width / k, high: p.Height / k, scale: float64(k), quiet: quiet}
	t.codes = make([]uint8, 3*t.wide*t.high)
	n := min(k, thumbPoints)
	points, stride := n*n, 1
	if k == thumbPoints {
		points, stride = n, n+1 // those on the diagonal do, in half the time
	}
	share := float32(1) / float32(points)
	t.everyRow(func(row int) {
		out := t.codes[3*row*t.wide:]
		t.everyRun(row, func(from, to int) {
			for column := from; column < to; column++ {
				var r, g, b float64
				for i := 0; i < n*n; i += stride {
					x := column*k + (2*(i%n)+1)*k/(2*n)
					y := row*k + (2*(i/n)+1)*k/(2*n)
					c := p.Linear(x, y)
					r, g, b = r+c.R, g+c.G, b+c.B
				}
				out[3*column], out[3*column+1], out[3*column+2] = rootCode(float32(r)*share), rootCode(float32(g)*share), rootCode(float32(b)*share)
			}
		})
	})
	return t
}

// everyRun calls f for the runs of a row that are not quiet.
func (t *thumb) everyRun(row int, f func(from, to int)) {
	k := int(t.scale)
	for x := 0; x < t.wide; {
		quiet, until := t.quiet.at(x*k, (t.top+row)*k)
		to := min((until+k-1)/k, t.wide)
		if !quiet {
			f(x, to)
		}
		x = to
	}
}

func rootCode(light float32) uint8 {
	return uint8(255*float32(math.Sqrt(float64(min(max(light, 0), 1)))) + 0.5)
}

// rows is a part of the thumb, from one row to before another.
func (t *thumb) rows(from, to int) *thumb {
	return &thumb{t.wide, to - from, t.scale, t.codes[3*from*t.wide : 3*to*t.wide], t.quiet, t.top + from}
}

// dry is a roughness at which no pixel counts any more.
const dry = 255

// roughness is, for each pixel, the largest step of any channel to the four beside it; dry in
// quiet parts.
func (t *thumb) roughness() []uint8 {
	rough := make([]uint8, t.wide*t.high)
	if t.quiet != nil {
		for i := range rough {
			rough[i] = dry
		}
	}
	const rows = 16
	inParts(t.high, rows, func(from, to int) {
		// The step down from a row is the step up to the next, and so along the row.
		var steps [2][]uint8
		steps[0], steps[1] = make([]uint8, t.wide), make([]uint8, t.wide)
		if from > 0 {
			t.stepsDown(from-1, steps[1])
		}
		for y := from; y < to; y++ {
			down, up := steps[(y-from)%2], steps[(y-from+1)%2]
			if y < t.high-1 {
				t.stepsDown(y, down)
			} else {
				clear(down)
			}
			t.everyRun(y, func(from, to int) {
				left := uint8(0)
				if from > 0 {
					left = t.step(y*t.wide+from, y*t.wide+from-1)
				}
				for x := from; x < to; x++ {
					i, right := y*t.wide+x, uint8(0)
					if x < t.wide-1 {
						right = t.step(i, i+1)
					}
					rough[i] = max(left, right, up[x], down[x])
					left = right
				}
			})
		}
	})
	return rough
}

// stepsDown are the steps from a row to the next.
func (t *thumb) stepsDown(y int, steps []uint8) {
	for x := range steps {
		steps[x] = t.step(y*t.wide+x, (y+1)*t.wide+x)
	}
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
