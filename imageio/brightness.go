package imageio

import (
	"context"

	"huewright/internal/parallel"
)

// Brightness returns the photo made smaller, for a search: the mean brightness of every k × k pixels, row by row, as a code from 0 to
// 255. It is that of the file's own codes, whatever the profile makes of them; pixels left over at the right and below stay out. The
// error is that of the context.
func (p *Photo) Brightness(ctx context.Context, k int) (wide, high int, codes []uint8, err error) {
	wide, high = p.Width/k, p.Height/k
	codes = make([]uint8, wide*high)
	r := p.pixels
	const rows = 16
	err = parallel.Ranges(ctx, high, rows, func(from, to int) {
		sums := make([]uint32, wide)
		for y := from; y < to; y++ {
			clear(sums)
			for line := y * k; line < (y+1)*k; line++ {
				if r.luma != nil && p.turned.number <= 1 {
					addEvery(sums, r.luma[line*r.lumaStride:][:p.Width], k)
					continue
				}
				for x := range wide * k {
					sums[x/k] += r.brightness(p.turned.stored(x, line))
				}
			}
			out, n := codes[y*wide:][:wide], uint32(k*k)
			for x, sum := range sums {
				out[x] = uint8((sum + n/2) / n)
			}
		}
	})
	return wide, high, codes, err
}

// addEvery adds k codes of a row to each sum in turn.
func addEvery(sums []uint32, row []uint8, k int) {
	switch k {
	case 1:
		for x := range sums {
			sums[x] += uint32(row[x])
		}
	case 2:
		for x := range sums {
			sums[x] += uint32(row[2*x]) + uint32(row[2*x+1])
		}
	default:
		for x := range sums {
			for _, v := range row[x*k:][:k] {
				sums[x] += uint32(v)
			}
		}
	}
}

// brightness is that of a stored pixel, 0–255, with about the weights of the eye.
func (r *raster) brightness(x, y int) uint32 {
	if r.luma != nil {
		return uint32(r.luma[y*r.lumaStride+x])
	}
	red, green, blue := r.code(x, y)
	return (uint32(red)*5 + uint32(green)*9 + uint32(blue)*2) >> (4 + r.bits - 8)
}
