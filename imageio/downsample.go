package imageio

import (
	"context"
	"math"

	"huewright/internal/parallel"
)

// A Downsampling says how a photo is made small.
type Downsampling struct {
	Width, Height int
	Step          float64 // pixels of the photo on a side of one of its own, 1 or more
}

// Downsampling is that by which a photo has at most so many pixels.
func (p *Photo) Downsampling(most int) Downsampling {
	step := max(1, math.Sqrt(float64(p.Width)*float64(p.Height)/float64(most)))
	return Downsampling{max(1, int(float64(p.Width)/step)), max(1, int(float64(p.Height)/step)), step}
}

// Downsample calls each, from any number of goroutines, for every pixel of the small picture, by rows: with the root of its light, 0–255,
// which is the mean of up to nine pixels of the photo. The error is the context's.
func (p *Photo) Downsample(ctx context.Context, d Downsampling, each func(i int, r, g, b uint8)) error {
	cell, _ := p.MeanRootCodes(int(d.Step))
	side := min(3, int(math.Ceil(d.Step/float64(cell))))
	return parallel.Ranges(ctx, d.Height, 16, func(from, to int) {
		_, mean := p.MeanRootCodes(int(d.Step))
		places := make([]Pixel, side*side)
		for i := from * d.Width; i < to*d.Width; i++ {
			x, y := float64(i%d.Width), float64(i/d.Width)
			for k := range places {
				places[k] = Pixel{
					X: int32(min(p.Width-1, int(d.Step*(x+(float64(k%side)+0.5)/float64(side))))),
					Y: int32(min(p.Height-1, int(d.Step*(y+(float64(k/side)+0.5)/float64(side))))),
				}
			}
			r, g, b := mean(places)
			each(i, r, g, b)
		}
	})
}
