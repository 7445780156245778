package imageio

import (
	"context"

	"huewright/internal/parallel"
)

// Brightness returns the photo made smaller, for a search: the mean brightness of every k × k pixels, row by row, as a code from 0 to
// 255. It is that of the file's own codes, whatever the profile makes of them; pixels left over at the right and below stay out. The
// error is that of the context.
//
// Of a JPEG it is that of whole blocks of 8 × 8 pixels where these are much like those round them.
func (p *Photo) Brightness(ctx context.Context, k int) (wide, high int, codes []uint8, err error) {
	wide, high = p.Width/k, p.Height/k
	r, shift := p.pixels.near(k & -k) // whole pixels of it make up k × k
	lumaRow, brightness := r.lumaRow, r.brightness
	cell := 1 << shift
	if all := p.pixels.parts; all != nil && shift < 3 && k == cell {
		stored, err := newCalmness(all, shift).codes(ctx)
		if err != nil || p.turned.number <= 1 && wide == r.width {
			return wide, high, stored[:wide*high], err
		}
		lumaRow, brightness = nil, func(x, y int) uint32 { return uint32(stored[y*r.width+x]) }
	}
	codes = make([]uint8, wide*high)
	each := k / cell
	const rows = 16
	err = parallel.Ranges(ctx, high, rows, func(from, to int) {
		sums, row := make([]uint32, wide), make([]uint8, r.width)
		for y := from; y < to; y++ {
			if each == 1 && lumaRow != nil && p.turned.number <= 1 && wide == r.width {
				lumaRow(y, codes[y*wide:][:wide])
				continue
			}
			clear(sums)
			for line := y * each; line < (y+1)*each; line++ {
				if lumaRow != nil && p.turned.number <= 1 {
					lumaRow(line, row)
					addEvery(sums, row, each)
					continue
				}
				for x := range wide * each {
					sx, sy := p.turned.stored(x*cell+cell/2, line*cell+cell/2)
					sums[x/each] += brightness(sx>>shift, sy>>shift)
				}
			}
			out, n := codes[y*wide:][:wide], uint32(each*each)
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
		return uint32(r.luma(x, y))
	}
	red, green, blue := r.code(x, y)
	return (uint32(red)*5 + uint32(green)*9 + uint32(blue)*2) >> (4 + r.bits - 8)
}
