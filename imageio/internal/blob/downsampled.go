// Package blob finds the even patches of a photo made small: [Downsample] makes the small picture,
// [Downsampled.Blobs] its connected components that are even in colour and about as full as a parallelogram.
// Charts and slips of paper are looked for among them.
package blob

import (
	"context"

	"huewright/imageio"
	"huewright/internal/parallel"
)

// A Downsampled is a photo made small enough to search: three codes a pixel, the square root of linear light
// on 0–255, whose steps are about as large as the eye's.
type Downsampled struct {
	Wide, High int
	Scale      float64 // photo pixels to one of its own
	Codes      []uint8 // red, green, blue; row by row
	excluded   []bool  // from the search: black; nil for none
}

// pointsAcross is how many points along each side are averaged where a pixel covers more. Four points are
// enough against grain, and a fraction of the time of all.
const pointsAcross = 2

// Downsample returns the photo with every k × k pixels as one. What is ruled out is excluded from the search;
// nil rules out nothing. The error is the context's.
func Downsample(ctx context.Context, p *imageio.Photo, k int, ruledOut func(x, y int) bool) (*Downsampled, error) {
	t := &Downsampled{Wide: p.Width / k, High: p.Height / k, Scale: float64(k)}
	t.Codes = make([]uint8, 3*t.Wide*t.High)
	if ruledOut != nil {
		t.excluded = make([]bool, t.Wide*t.High)
	}
	if whole := p.RootCodeRows(k); whole != nil && ruledOut == nil {
		return t, t.everyRow(ctx, func(row int) { whole(row, t.Codes[3*row*t.Wide:3*(row+1)*t.Wide]) })
	}
	cell, mean := p.MeanRootCodes(k)
	inside := pointsWithin(k, cell)
	if err := t.everyRow(ctx, func(row int) {
		out := t.Codes[3*row*t.Wide:]
		places := make([]imageio.Pixel, len(inside))
		for column := range t.Wide {
			if ruledOut != nil && ruledOut(column, row) {
				t.excluded[row*t.Wide+column] = true
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

// pointsWithin lists which of k × k pixels stand for all of them, where each is the mean of a cell.
func pointsWithin(k, cell int) (at []imageio.Pixel) {
	n, stride := min(k, pointsAcross), 1
	switch k {
	case cell:
		n = 1
	case pointsAcross:
		stride = n + 1 // the diagonal is enough, in half the time
	}
	for i := 0; i < n*n; i += stride {
		at = append(at, imageio.Pixel{X: int32((2*(i%n) + 1) * k / (2 * n)), Y: int32((2*(i/n) + 1) * k / (2 * n))})
	}
	return at
}

// rows is the part of the picture from one row to before another.
func (t *Downsampled) rows(from, to int) *Downsampled {
	part := &Downsampled{Wide: t.Wide, High: to - from, Scale: t.Scale, Codes: t.Codes[3*from*t.Wide : 3*to*t.Wide]}
	if t.excluded != nil {
		part.excluded = t.excluded[from*t.Wide : to*t.Wide]
	}
	return part
}

// everyRow calls f for each row, some at a time on all processors.
func (t *Downsampled) everyRow(ctx context.Context, f func(y int)) error {
	const rows = 16
	return parallel.Ranges(ctx, t.High, rows, func(from, to int) {
		for y := from; y < to; y++ {
			f(y)
		}
	})
}
