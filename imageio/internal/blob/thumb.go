package blob

import (
	"context"
	"math"

	"huewright/imageio"
	"huewright/internal/parallel"
)

// A Downsampled is a photo made small enough to search: three codes a pixel, the square root of
// linear light on 0–255, which is near enough to how the eye steps.
type Downsampled struct {
	Wide, High int
	Scale      float64 // photo pixels to one of its own
	Codes      []uint8
	left       []bool // left out of the search: black; nil for none
}

// thumbPoints is how many points along each side are averaged where a thumb's pixel covers
// more. Four points are enough against grain, and a fraction of the time of all.
const thumbPoints = 2

// Downsample is the photo with every k × k pixels as one. What is ruled out, as a coarser thumb has
// shown, is left out; nil rules out nothing.
func Downsample(ctx context.Context, p *imageio.Photo, k int, ruledOut func(x, y int) bool) (*Downsampled, error) {
	t := &Downsampled{Wide: p.Width / k, High: p.Height / k, Scale: float64(k)}
	t.Codes = make([]uint8, 3*t.Wide*t.High)
	if ruledOut != nil {
		t.left = make([]bool, t.Wide*t.High)
	}
	inside, mean := pointsWithin(k), p.MeanRootCodes()
	if err := t.everyRow(ctx, func(row int) {
		out := t.Codes[3*row*t.Wide:]
		places := make([]imageio.Pixel, len(inside))
		for column := range t.Wide {
			if ruledOut != nil && ruledOut(column, row) {
				t.left[row*t.Wide+column] = true
				continue
			}
			for i, at := range inside {
				places[i] = imageio.Pixel{X: int32(column*k) + at.X, Y: int32(row*k) + at.Y}
			}
			out[3*column], out[3*column+1], out[3*column+2] = mean(places)
		}
	}); err != nil {
		return nil, err
	}
	return t, nil
}

// pointsWithin lists which of k × k pixels stand for all of them.
func pointsWithin(k int) (at []imageio.Pixel) {
	n, stride := min(k, thumbPoints), 1
	if k == thumbPoints {
		stride = n + 1 // those on the diagonal do, in half the time
	}
	for i := 0; i < n*n; i += stride {
		at = append(at, imageio.Pixel{X: int32((2*(i%n) + 1) * k / (2 * n)), Y: int32((2*(i/n) + 1) * k / (2 * n))})
	}
	return at
}

// rows is a part of the thumb, from one row to before another.
func (t *Downsampled) rows(from, to int) *Downsampled {
	part := &Downsampled{Wide: t.Wide, High: to - from, Scale: t.Scale, Codes: t.Codes[3*from*t.Wide : 3*to*t.Wide]}
	if t.left != nil {
		part.left = t.left[from*t.Wide : to*t.Wide]
	}
	return part
}

// roughness is, for each pixel, the largest step of any channel to the four beside it.
func (t *Downsampled) roughness(ctx context.Context) ([]uint8, error) {
	rough := make([]uint8, t.Wide*t.High)
	const rows = 64
	if err := parallel.Ranges(ctx, t.High, rows, func(from, to int) {
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
		if to < t.High {
			t.stepsDown(rough, to-1, true, false)
		}
		for i := from * t.Wide; t.left != nil && i < to*t.Wide; i++ {
			if t.left[i] {
				rough[i] = math.MaxUint8
			}
		}
	}); err != nil {
		return nil, err
	}
	return rough, nil
}

// stepsAlong takes the steps within a row into the roughness of both pixels.
func (t *Downsampled) stepsAlong(rough []uint8, y int) {
	codes, out := t.Codes[3*y*t.Wide:3*(y+1)*t.Wide], rough[y*t.Wide:(y+1)*t.Wide]
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
func (t *Downsampled) stepsDown(rough []uint8, y int, upper, lower bool) {
	up, down := t.Codes[3*y*t.Wide:3*(y+1)*t.Wide], t.Codes[3*(y+1)*t.Wide:3*(y+2)*t.Wide]
	above, below := rough[y*t.Wide:(y+1)*t.Wide], rough[(y+1)*t.Wide:(y+2)*t.Wide]
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
func (t *Downsampled) everyRow(ctx context.Context, f func(y int)) error {
	const rows = 16
	if err := parallel.Ranges(ctx, t.High, rows, func(from, to int) {
		for y := from; y < to; y++ {
			f(y)
		}
	}); err != nil {
		return err
	}
	return nil
}
