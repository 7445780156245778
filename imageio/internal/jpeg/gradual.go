package jpeg

import (
	"math/bits"
	"slices"
	"sync"
)

// A gradualBlock is the coefficients of a block, in zig-zag order, as the scans make them.
type gradualBlock struct {
	of    [64]int32
	known uint64 // which are not 0, besides the first
}

// A gradualStretch is the blocks of each component of a stretch.
type gradualStretch [3][]gradualBlock

// of makes room for so many units of blocks without anything.
func (s *gradualStretch) of(components []component, units int) {
	for k, c := range components {
		n := units * c.h * c.v
		s[k] = slices.Grow(s[k][:0], n)[:n]
		clear(s[k])
	}
}

// gradualStretches are no longer used: their memory, many times that of the samples, is used again.
var gradualStretches = sync.Pool{New: func() any { return new(gradualStretch) }}

// decodeScans reads the components of a stretch of a progressive picture from the first that is wanted on, from each of its scans in
// turn.
func (v *View) decodeScans(i, wanted int, to *part) {
	p := v.p
	row, first := i/p.stretches, i%p.stretches*p.stretch
	units := min(p.stretch, p.across-first)
	blocks := gradualStretches.Get().(*gradualStretch)
	defer gradualStretches.Put(blocks)
	blocks.of(p.components, units)
	for _, s := range p.scans {
		switch {
		case !s.single():
			p.readUnits(s, i, units, blocks)
		case s.components[0] >= wanted && s.components[0] < v.components:
			k := s.components[0]
			c := &p.components[k]
			wide, high := p.blocksOf(k)
			for y := range min(c.v, high-row*c.v) {
				begin := s.places[(row*c.v+y)*p.stretches+first/p.stretch]
				n := min(units*c.h, wide-first*c.h)
				p.readRow(s, k, begin, blocks[k][y*units*c.h:][:n])
			}
		}
	}
	var all [64]coefficient
	for k := wanted; k < v.components; k++ {
		wide := units * p.components[k].h
		for j := range blocks[k] {
			b, n := &blocks[k][j], 0
			for left := b.known; left != 0; left &= left - 1 {
				at := bits.TrailingZeros64(left)
				all[n&63] = coefficient{int32(at), b.of[at]}
				n++
			}
			v.put(to, k, j%wide, j/wide, b.of[0], all[:n])
		}
	}
}

// readUnits reads the first coefficients of several components.
func (p *Picture) readUnits(s *scan, i, units int, blocks *gradualStretch) {
	bit, dc := int(s.places[i].bit), s.places[i].dc
	for unit := range units {
		for _, k := range s.components {
			c := &p.components[k]
			for j := range c.h * c.v {
				bit, dc[k] = s.readFirst(p.data, &blocks[k][j/c.h*units*c.h+unit*c.h+j%c.h], k, bit, dc[k])
			}
		}
	}
}

// readRow reads blocks of one component.
func (p *Picture) readRow(s *scan, k int, begin place, blocks []gradualBlock) {
	bit, state := int(begin.bit), begin.dc[0]
	for i := range blocks {
		switch b := &blocks[i]; {
		case s.from == 0:
			bit, state = s.readFirst(p.data, b, k, bit, state)
		case s.refines:
			bit, state = s.readRefined(p.data, b, bit, state)
		default:
			bit, state = s.readBand(p.data, b, bit, state)
		}
	}
}

// readFirst is passFirst for a block.
func (s *scan) readFirst(data []byte, b *gradualBlock, k, bit int, dc int32) (int, int32) {
	if s.refines {
		b.of[0] |= oneBit(data, bit) << s.low
		return bit + 1, 0
	}
	bit, diff := s.dc[k].difference(data, bit)
	b.of[0] = (dc + diff) << s.low
	return bit, dc + diff
}

// readBand is passBand for what is there.
func (s *scan) readBand(data []byte, b *gradualBlock, bit int, none int32) (int, int32) {
	if none > 0 {
		return bit, none - 1
	}
	for k := s.from; k <= s.to; k++ {
		code, length := s.ac.symbol(next(data, bit))
		zero, n := int(code>>4), int(code&15)
		bit += length
		switch {
		case n > 0:
			k += zero
			b.of[k&63] = extend(uint32(some(data, bit, n)), n) << s.low
			b.known |= 1 << (k & 63)
			bit += n
		case zero < 15:
			return bit + zero, 1<<zero + some(data, bit, zero) - 1
		default:
			k += 15
		}
	}
	return bit, 0
}

// readRefined is passRefined for what is there.
func (s *scan) readRefined(data []byte, b *gradualBlock, bit int, none int32) (int, int32) {
	k := s.from
	for ; none == 0 && k <= s.to; k++ {
		code, length := s.ac.symbol(next(data, bit))
		zero, n := int(code>>4), int(code&15)
		bit += length
		if n == 0 && zero < 15 {
			none = 1<<zero + some(data, bit, zero)
			bit += zero
			break
		}
		value := int32(0)
		if n > 0 {
			value = (2*oneBit(data, bit) - 1) << s.low
			bit++
		}
		k, bit = s.refine(data, b, bit, k, zero)
		if value != 0 {
			b.of[k&63] = value
			b.known |= 1 << (k & 63)
		}
	}
	if none > 0 {
		none--
		_, bit = s.refine(data, b, bit, k, 64)
	}
	return bit, none
}

// refine reads a bit more of each coefficient that was known, up to one that was not after so many that were not; it returns the
// place of that.
func (s *scan) refine(data []byte, b *gradualBlock, bit, k, zero int) (at, after int) {
	zeros := ^b.known >> k << k
	for ; zero > 0 && zeros != 0; zero-- {
		zeros &= zeros - 1
	}
	at = min(bits.TrailingZeros64(zeros), s.to+1)
	for left := b.known >> k << k & (1<<at - 1); left != 0; left &= left - 1 {
		if oneBit(data, bit) != 0 {
			v := &b.of[bits.TrailingZeros64(left)]
			*v += (*v>>31 | 1) << s.low // away from 0
		}
		bit++
	}
	return at, bit
}
