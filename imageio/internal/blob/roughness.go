package blob

import (
	"context"
	"math"

	"huewright/internal/parallel"
)

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
		for i := from * t.Wide; t.excluded != nil && i < to*t.Wide; i++ {
			if t.excluded[i] {
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
