package slip

import (
	"context"
	"slices"
	"sync"

	"huewright/imageio"
	"huewright/internal/parallel"
)

// A level is the brightness of a photo at one size.
type level struct {
	wide, high int
	scale      float64 // photo pixels to one of its own
	codes      []uint8
}

const (
	// longestSide is how long a photo may be to be searched as it is, in pixels; of a larger one 2 × 2 pixels are searched as one. A phone's
	// 12 megapixels are searched at half their size.
	longestSide = 2400
	// longestHalf is how long the picture of 2 × 2 pixels may be; of a larger photo 4 × 4 are searched as one, and so on.
	longestHalf = 3600
	// smallestLevel is the side below which no slip would fit that a larger level has missed.
	smallestLevel = 160
)

// levelsOf are a photo's levels, each half as large as the one before.
func levelsOf(ctx context.Context, p *imageio.Photo) ([]*level, error) {
	k, longest := 1, max(p.Width, p.Height)
	if longest > longestSide {
		for k = 2; longest > longestHalf*k; k *= 2 {
		}
	}
	wide, high, codes, err := p.Brightness(ctx, k)
	if err != nil {
		return nil, err
	}
	all := []*level{{wide, high, float64(k), codes}}
	for l := all[0]; max(l.wide, l.high) >= 2*smallestLevel; {
		l = l.half()
		all = append(all, l)
	}
	return all, nil
}

// at is the brightness of a place, in pixels of the level; false beyond its edge.
func (l *level) at(p imageio.Point) (code uint8, ok bool) {
	if !(p.X >= 0 && p.Y >= 0 && p.X < float64(l.wide) && p.Y < float64(l.high)) {
		return 0, false
	}
	return l.codes[int(p.Y)*l.wide+int(p.X)], true
}

func (l *level) half() *level {
	h := &level{wide: l.wide / 2, high: l.high / 2, scale: 2 * l.scale}
	h.codes = make([]uint8, h.wide*h.high)
	for y := range h.high {
		a, b := l.codes[2*y*l.wide:][:2*h.wide], l.codes[(2*y+1)*l.wide:][:2*h.wide]
		out := h.codes[y*h.wide:][:h.wide]
		for x := range out {
			out[x] = uint8((uint(a[2*x]) + uint(a[2*x+1]) + uint(b[2*x]) + uint(b[2*x+1]) + 2) / 4)
		}
	}
	return h
}

// A run is a part of a row that is darker than what lies round it.
type run struct {
	y, from, to uint16 // from ≤ x < to; no level is larger
}

// A shelf holds what was made room for and is no longer used, to be used again: it is megabytes for each level of a busy photo.
type shelf[T any] struct{ pool sync.Pool }

// take is room for n, with anything in it.
func (s *shelf[T]) take(n int) []T {
	if used, ok := s.pool.Get().(*[]T); ok && cap(*used) >= n {
		return (*used)[:n]
	}
	return make([]T, n)
}

func (s *shelf[T]) putBack(room []T) { s.pool.Put(&room) }

var runsUsed shelf[run]

// reach is how far round a pixel brightness is averaged, in pixels each way: somewhat less than half a slip, of the 30 to 120
// pixels that a level is there for.
const reach = 16

// darkness are the shares of the mean brightness, in 64ths, below which a pixel is dark. With the first a slip in even light comes
// out whole; with the second one that lies in a shadow, beside something much brighter.
var darkness = [2]uint32{55, 36}

// dark lists the runs of each kind of darkness, from top to bottom and left to right.
func (l *level) dark(ctx context.Context) ([len(darkness)][]run, error) {
	const band = 64 // rows
	bands := make([][len(darkness)][]run, (l.high+band-1)/band)
	err := parallel.Ranges(ctx, l.high, band, func(from, to int) {
		rows := [len(darkness)][]run{runsUsed.take(0), runsUsed.take(0)}
		l.darkRows(from, to, &rows)
		for k, found := range rows {
			bands[from/band][k] = slices.Clone(found)
			runsUsed.putBack(found)
		}
	})
	var all [len(darkness)][]run
	for k := range all {
		n := 0
		for _, b := range bands {
			n += len(b[k])
		}
		all[k] = make([]run, 0, n)
		for _, b := range bands {
			all[k] = append(all[k], b[k]...)
		}
	}
	return all, err
}

// A rowScan finds the runs of a row, pixel by pixel from the left.
type rowScan struct {
	y     int
	began [len(darkness)]int32 // where a run began, plus 1; 0 for none
	found *[len(darkness)][]run
}

// over goes on over pixels from column x on, each of which times a factor is compared with what lies round it: the difference of two sums,
// 2 × reach + 1 apart. What is dark by the second share is by the first.
func (s *rowScan) over(line []uint8, sums []uint32, x int, factor uint32) {
	far, near := sums[2*reach+1:][:len(line)], sums[:len(line)]
	dark, darker := darkness[0], darkness[1]
	first, second := s.began[0], s.began[1]
	for i, v := range line {
		mean, around := uint32(v)*factor, far[i]-near[i]
		is := mean < dark*around
		if !is && first == 0 {
			continue // as most are: not even somewhat dark
		}
		if is != (first != 0) {
			first = s.turn(0, first, x+i)
		}
		if is := mean < darker*around; is != (second != 0) {
			second = s.turn(1, second, x+i)
		}
	}
	s.began = [...]int32{first, second}
}

// turn begins a run at a column, or ends the one that began.
func (s *rowScan) turn(k int, began int32, x int) int32 {
	if began == 0 {
		return int32(x) + 1
	}
	s.found[k] = append(s.found[k], run{uint16(s.y), uint16(began - 1), uint16(x)})
	return 0
}

// addRow moves the sums of columns down by a row, of which one comes in and another goes out, and adds them up from the left.
func addRow(columns, sums []uint32, in, out []uint8) {
	sums, in, out = sums[:len(columns)], in[:len(columns)], out[:len(columns)]
	sum := uint32(0)
	for x, c := range columns {
		c += uint32(in[x]) - uint32(out[x])
		columns[x] = c
		sum += c
		sums[x] = sum
	}
}

func (l *level) darkRows(from, to int, found *[len(darkness)][]run) {
	columns := make([]uint32, l.wide) // sums of the rows within reach
	for y := max(0, from-reach-1); y < min(l.high, from+reach); y++ {
		for x, v := range l.codes[y*l.wide:][:l.wide] {
			columns[x] += uint32(v)
		}
	}
	none := make([]uint8, l.wide)
	beyond := func(y int) []uint8 {
		if y < 0 || y >= l.high {
			return none
		}
		return l.codes[y*l.wide:][:l.wide]
	}
	sums := make([]uint32, reach+1+l.wide+reach) // of columns from the left, with as much again on both sides as is averaged
	for y := from; y < to; y++ {
		addRow(columns, sums[reach+1:], beyond(y+reach), beyond(y-reach-1))
		for i := range reach {
			sums[reach+1+l.wide+i] = sums[reach+l.wide]
		}
		rows := uint32(min(l.high, y+reach+1) - max(0, y-reach))
		line := l.codes[y*l.wide:][:l.wide]
		scan := rowScan{y: y, found: found}
		for x := 0; x < l.wide; {
			next := x + 1
			if x >= reach {
				next = max(next, l.wide-reach) // up to there as many columns are averaged
			}
			across := uint32(min(l.wide, x+reach+1) - max(0, x-reach))
			scan.over(line[x:next], sums[x:], x, 64*rows*across)
			x = next
		}
		for k, began := range scan.began {
			if began != 0 {
				scan.turn(k, began, l.wide)
			}
		}
	}
}
