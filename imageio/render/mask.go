package render

import (
	"context"
	"image"
	"slices"

	"huewright/imageio"
	"huewright/internal/parallel"
)

// A softMask says how far each pixel of a box belongs to an area.
type softMask struct {
	box   image.Rectangle
	alpha []uint8
}

func (m *softMask) row(y int) []uint8 {
	w := m.box.Dx()
	return m.alpha[(y-m.box.Min.Y)*w : (y-m.box.Min.Y+1)*w]
}

// mask is the area with a soft edge; nil where none of it is on the canvas.
func (c *Canvas) mask(ctx context.Context, o imageio.Outline, feather float64) (*softMask, error) {
	wide, high := c.size()
	if feather == 0 {
		feather = float64(max(wide, high)) / 600
	}
	radius := int(max(0, feather) / 2)
	spans := c.scaled(o).Spans(wide, high)
	if len(spans) == 0 {
		return nil, nil
	}
	box := image.Rect(spans[0].X0, spans[0].Y, spans[0].X1, spans[0].Y+1)
	for _, s := range spans {
		box = box.Union(image.Rect(s.X0, s.Y, s.X1, s.Y+1))
	}
	box = box.Inset(-2 * radius).Intersect(c.img.Rect)
	m := &softMask{box: box, alpha: make([]uint8, box.Dx()*box.Dy())}
	for _, s := range spans {
		row := m.row(s.Y)
		for x := s.X0; x < s.X1; x++ {
			row[x-box.Min.X] = 255
		}
	}
	if radius > 0 {
		// Two means over a square make a slope without corners.
		for range 2 {
			if err := m.soften(ctx, radius); err != nil {
				return nil, err
			}
		}
		// The slope lies outside: what was outlined is coloured in full.
		for i, a := range m.alpha {
			m.alpha[i] = uint8(min(255, 2*int(a)))
		}
	}
	return m, nil
}

// soften takes the mean over a square of 2 radius + 1 pixels; what lies beyond the box counts as its
// edge, so that an area that ends with the picture does not fade there.
func (m *softMask) soften(ctx context.Context, radius int) error {
	w, h := m.box.Dx(), m.box.Dy()
	if err := parallel.Ranges(ctx, h, 32, func(from, to int) {
		line := make([]uint8, w)
		for y := from; y < to; y++ {
			row := m.alpha[y*w : (y+1)*w]
			copy(line, row)
			meanAlong(line, row, radius)
		}
	}); err != nil {
		return err
	}
	// Down the columns, many side by side: memory is read in its own order.
	was := slices.Clone(m.alpha)
	row := func(y int) []uint8 { y = min(max(y, 0), h-1); return was[y*w : (y+1)*w] }
	return parallel.Ranges(ctx, w, 256, func(from, to int) {
		sums := make([]uint32, to-from)
		for y := -radius; y <= radius; y++ {
			for i, a := range row(y)[from:to] {
				sums[i] += uint32(a)
			}
		}
		width := uint32(2*radius + 1)
		for y := range h {
			out, next, last := m.alpha[y*w+from:y*w+to], row(y + radius + 1)[from:to], row(y - radius)[from:to]
			for i := range out {
				out[i] = uint8((sums[i] + width/2) / width)
				sums[i] += uint32(next[i]) - uint32(last[i])
			}
		}
	})
}

// meanAlong writes running means of line to out.
func meanAlong(line, out []uint8, radius int) {
	n := len(line)
	at := func(i int) int { return int(line[min(max(i, 0), n-1)]) }
	sum := 0
	for i := -radius; i <= radius; i++ {
		sum += at(i)
	}
	width := 2*radius + 1
	for i := range n {
		if sum == 255*width || sum == 0 {
			out[i] = line[i] // all round it is one
		} else {
			out[i] = uint8((sum + width/2) / width)
		}
		sum += at(i+radius+1) - at(i-radius)
	}
}
