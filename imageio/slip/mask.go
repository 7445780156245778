package slip

import (
	"context"
	"encoding/binary"
	"math/bits"
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
	half       *level // of which each pixel is the mean of 2 × 2
}

const (
	// longestSide is how long a photo may be to be searched as it is, in pixels; of a larger one 2 × 2 pixels are searched as one. The
	// 12 megapixels of a phone are searched at half their size.
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
	l := &level{wide: wide, high: high, scale: float64(k), codes: codes}
	all := []*level{l}
	for l.half = l.halved(); max(l.wide, l.high) >= 2*smallestLevel; l.half = l.halved() {
		l = l.half
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

func (l *level) halved() *level {
	h := &level{wide: l.wide / 2, high: l.high / 2, scale: 2 * l.scale}
	h.codes = make([]uint8, h.wide*h.high)
	for y := range h.high {
		a, b := l.codes[2*y*l.wide:][:2*h.wide], l.codes[(2*y+1)*l.wide:][:2*h.wide]
		out := h.codes[y*h.wide:][:h.wide]
		x := 0
		for ; x+4 <= h.wide; x += 4 {
			above, below := binary.LittleEndian.Uint64(a[2*x:]), binary.LittleEndian.Uint64(b[2*x:])
			binary.LittleEndian.PutUint32(out[x:], fourMeans(above, below))
		}
		for ; x < h.wide; x++ {
			out[x] = uint8((uint(a[2*x]) + uint(a[2*x+1]) + uint(b[2*x]) + uint(b[2*x+1]) + 2) / 4)
		}
	}
	return h
}

// fourMeans are those of 2 × 2 bytes each, of eight above eight.
func fourMeans(a, b uint64) uint32 {
	const every = 0x00ff00ff00ff00ff
	sum := a&every + a>>8&every + b&every + b>>8&every + 0x0002000200020002
	sum = sum >> 2 & every
	sum = (sum | sum>>8) & 0x0000ffff0000ffff
	return uint32(sum | sum>>16)
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

// reach is how far round a pixel brightness is averaged, in pixels of half the size each way: somewhat less than half a slip, of the 30 to
// 120 pixels that a level is there for.
const reach = 8

// darkness are the shares of the mean brightness, in 64ths, below which a pixel is dark. With the first a slip in even light comes
// out whole; with the second one that lies in a shadow, beside something much brighter.
var darkness = [2]uint32{55, 36}

// dark lists the runs of each kind of darkness, from top to bottom and left to right.
func (l *level) dark(ctx context.Context) ([len(darkness)][]run, error) {
	const band = 64 // rows
	bands := make([][len(darkness)][]run, (l.high+band-1)/band)
	err := parallel.Ranges(ctx, l.high, band, func(from, to int) {
		rows := [len(darkness)][]run{runsUsed.take(0), runsUsed.take(0)}
		if l.half.wide > 0 && l.half.high > 0 {
			l.darkRows(from, to, &rows)
		}
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

// darkRows appends the runs of rows, of which the first has an even number.
func (l *level) darkRows(from, to int, found *[len(darkness)][]run) {
	m := l.half.meansFrom(from/2, l.wide)
	for y := from; y < to; y++ {
		if y%2 == 0 && y/2 < l.half.high {
			m.next()
		}
		line := l.codes[y*l.wide:][:l.wide]
		scan := rowScan{y: uint16(y), found: found}
		whole := len(line) &^ 7
		for x := 0; x < whole; x += 8 {
			scan.eight(x, binary.LittleEndian.Uint64(line[x:]), &m.least)
		}
		var rest [8]uint8
		copy(rest[:], line[whole:])
		scan.eight(whole, binary.LittleEndian.Uint64(rest[:]), &m.least)
		scan.end(l.wide)
	}
}

// A rowScan finds the runs of a row, eight pixels at a time from the left.
type rowScan struct {
	y     uint16
	began [len(darkness)]uint16 // where the run began that goes on
	goes  [len(darkness)]uint64 // 1 where one does
	found *[len(darkness)][]run
}

// eight goes on over eight pixels from column x on, of which those are dark that are below the least codes that are not. What is dark by
// the second share is by the first.
func (s *rowScan) eight(x int, codes uint64, least *[len(darkness)][]uint8) {
	first := below(codes, binary.LittleEndian.Uint64(least[0][x:]))
	if first|s.goes[0] == 0 {
		return // as most are: not even somewhat dark
	}
	s.turns(0, x, first)
	s.turns(1, x, below(codes, binary.LittleEndian.Uint64(least[1][x:])))
}

// turns begins and ends runs where the lowest bits of eight bytes, one for each pixel, change.
func (s *rowScan) turns(k, x int, dark uint64) {
	for turns := dark ^ (dark<<8 | s.goes[k]); turns != 0; turns &= turns - 1 {
		at := uint16(x + bits.TrailingZeros64(turns)/8)
		if s.goes[k] ^= 1; s.goes[k] == 1 {
			s.began[k] = at
		} else {
			s.found[k] = append(s.found[k], run{s.y, s.began[k], at})
		}
	}
}

// end ends the runs that reach the end of the row.
func (s *rowScan) end(wide int) {
	for k, goes := range s.goes {
		if goes == 1 {
			s.found[k] = append(s.found[k], run{s.y, s.began[k], uint16(wide)})
		}
	}
}

// below compares eight bytes with eight others: the lowest bit of each is set where it is less.
func below(a, b uint64) uint64 {
	const high = 0x8080808080808080
	lowNotLess := (a | high) - b&^high // the highest bit of each: its lower seven bits are not less
	return (^a&b | ^(a^b)&^lowNotLess) & high >> 7
}

// A meanScan finds how bright it is round the pixels of a row, row by row.
type meanScan struct {
	level   *level
	y       int      // the row that comes next
	columns []uint32 // sums of its rows within reach
	sums    []uint32 // of columns from the left, with as much again on both sides as is averaged
	none    []uint8
	// least are the least codes that are not dark, of two pixels of the larger level for each of this one's, eight and more beyond its
	// end.
	least [len(darkness)][]uint8
}

// meansFrom is a scan that begins at a row. The level that is twice as large is so wide.
func (l *level) meansFrom(y, wide int) *meanScan {
	m := &meanScan{level: l, y: y, columns: make([]uint32, l.wide), none: make([]uint8, l.wide)}
	m.sums = make([]uint32, reach+1+l.wide+reach)
	for k := range m.least {
		m.least[k] = make([]uint8, wide+8)
	}
	for at := max(0, y-reach-1); at < min(l.high, y+reach); at++ {
		for x, v := range l.row(at) {
			m.columns[x] += uint32(v)
		}
	}
	return m
}

func (l *level) row(y int) []uint8 { return l.codes[y*l.wide:][:l.wide] }

// rowOrNone is a row of the level, or one of zeros beyond its edge.
func (m *meanScan) rowOrNone(y int) []uint8 {
	if y < 0 || y >= m.level.high {
		return m.none
	}
	return m.level.row(y)
}

const (
	// shareBits of a share of a sum are behind the point: as many as fit.
	shareBits = 22
	roundUp   = 1<<shareBits - 1
)

// next goes on to the next row.
func (m *meanScan) next() {
	l, y := m.level, m.y
	m.y++
	sums := m.sums
	addRow(m.columns, sums[reach+1:], m.rowOrNone(y+reach), m.rowOrNone(y-reach-1))
	for i := range reach {
		sums[reach+1+l.wide+i] = sums[reach+l.wide]
	}
	rows := uint32(min(l.high, y+reach+1) - max(0, y-reach))
	for x := 0; x < l.wide; {
		next := x + 1
		if x >= reach {
			next = max(next, l.wide-reach) // up to there as many columns are averaged
		}
		n := rows * uint32(min(l.wide, x+reach+1)-max(0, x-reach))
		m.shares(x, next, darkness[0]<<shareBits/64/n, darkness[1]<<shareBits/64/n)
		x = next
	}
	for k := range m.least {
		least := m.least[k]
		end := len(least) - 8
		if end > 2*l.wide { // an odd column
			least[end-1] = least[end-2]
		}
	}
}

// shares puts two shares of the sums round each pixel of a part of the row where they go, rounded up.
func (m *meanScan) shares(from, to int, share, darker uint32) {
	n := to - from
	far, near := m.sums[from+2*reach+1:][:n], m.sums[from:][:n]
	first, second := m.least[0][2*from:][:2*n], m.least[1][2*from:][:2*n]
	for i, sum := range far {
		sum -= near[i]
		a, b := uint8((sum*share+roundUp)>>shareBits), uint8((sum*darker+roundUp)>>shareBits)
		first[2*i], first[2*i+1] = a, a
		second[2*i], second[2*i+1] = b, b
	}
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
