package jpeg

import (
	"context"
	"math/bits"
)

// A scan is one of those of a progressive picture: a band of coefficients of one component, or the first ones of several, to a
// precision or one bit more.
//
// Source: ITU-T T.81, annex G.
type scan struct {
	components []int
	from, to   int  // the band, in zig-zag order
	low        uint // bits that are not there yet
	refines    bool // one bit more
	dc         [3]*table
	ac         *table

	begin, end int     // of the data, bits
	places     []place // of the stretches; of a single component, of each of its rows of blocks
}

// indexScans passes over all scans, the first of which has its header at a place. It keeps the place of each stretch in each of them,
// and the mean of each block.
func (p *Picture) indexScans(ctx context.Context, file []byte, at int) error {
	if p.restart > 0 || !p.plainlySampled() {
		return ErrOther
	}
	g := newGradual(p)
	for {
		if err := ctx.Err(); err != nil {
			return err
		}
		if at+1 < len(file) && file[at] == 0xff && file[at+1] == endOfImage {
			break
		}
		marker, body, next := segment(file, at)
		if body == nil {
			return ErrOther
		}
		switch {
		case marker == startOfScan:
			s := p.newScan(body)
			if s == nil {
				return ErrOther
			}
			s.begin = p.bits
			var err error
			if next, err = p.take(file, next, 0, 0); err != nil {
				return err
			}
			p.close()
			s.end = p.bits
			if err := g.pass(ctx, s); err != nil {
				return err
			}
			p.scans = append(p.scans, s)
		case marker == huffmanTables:
			if !p.huffman(body) {
				return ErrOther
			}
		case !p.application(marker, body):
			return ErrOther
		}
		at = next
	}
	if p.inRGB() {
		return ErrOther
	}
	return g.finish()
}

// plainlySampled reports whether each component has as many blocks in a unit as luma, or one: of others there is more than one way
// to count those at the edges.
func (p *Picture) plainlySampled() bool {
	for _, c := range p.components {
		if c.h != 1 && c.h != p.components[0].h || c.v != 1 && c.v != p.components[0].v {
			return false
		}
	}
	return true
}

// newScan reads the header of a scan; nil where it is not as it should be.
//
// Source: ITU-T T.81, B.2.3 and G.1.1.1.
func (p *Picture) newScan(body []byte) *scan {
	n := (len(body) - 4) / 2
	if n < 1 || n > len(p.components) || len(body) != 4+2*n || int(body[0]) != n {
		return nil
	}
	end := body[1+2*n:]
	s := &scan{from: int(end[0]), to: int(end[1]), low: uint(end[2] & 15), refines: end[2]>>4 != 0}
	high := uint(end[2] >> 4)
	switch {
	case s.from == 0 && s.to != 0, s.from > s.to, s.to > 63, s.from > 0 && n > 1, s.low > 13, s.refines && high != s.low+1:
		return nil
	}
	blocks, after := 0, -1
	for i := range n {
		name, dc, ac := body[1+2*i], body[2+2*i]>>4, body[2+2*i]&15
		k := after + 1
		for k < len(p.components) && p.components[k].name != name {
			k++
		}
		if k == len(p.components) || dc > 3 || ac > 3 {
			return nil
		}
		after = k
		s.components = append(s.components, k)
		s.dc[k], s.ac = p.tables[0][dc].table(), p.tables[1][ac].table()
		if s.from == 0 && !s.refines && s.dc[k] == nil || s.from > 0 && s.ac == nil {
			return nil
		}
		blocks += p.components[k].h * p.components[k].v
	}
	if blocks > 10 && len(p.components) > 1 {
		return nil
	}
	return s
}

// single reports a scan of one component, whose blocks come row by row.
func (s *scan) single() bool { return len(s.components) == 1 }

// A gradual is what is known of a progressive picture while its scans are passed over.
type gradual struct {
	p     *Picture
	first [3][]int32  // coefficients of all blocks
	known [3][]uint64 // which coefficients of each block are not 0, besides the first
	begun [3]bool
}

func newGradual(p *Picture) *gradual {
	g := &gradual{p: p}
	for k := range p.components {
		g.first[k] = make([]int32, len(p.means[k].codes))
		g.known[k] = make([]uint64, len(p.means[k].codes))
	}
	return g
}

// finish takes the means of the blocks. Each component must have begun with its first coefficients.
func (g *gradual) finish() error {
	p := g.p
	for k := range p.components {
		c := &p.components[k]
		if c.steps = p.quants[c.quant]; c.steps == nil || !g.begun[k] {
			return ErrOther
		}
		for i, first := range g.first[k] {
			p.means[k].codes[i] = meanCode(first * c.steps[0])
		}
	}
	return nil
}

// pass passes over a scan and keeps its places.
func (g *gradual) pass(ctx context.Context, s *scan) error {
	bit, ok := s.begin, true
	if s.single() {
		k := s.components[0]
		wide, high := g.p.blocksOf(k)
		each := g.p.stretch * g.p.components[k].h
		s.places = make([]place, high*g.p.stretches)
		state := int32(0) // blocks without anything new that are still to come, or the first coefficient of the last block
		for y := range high {
			if err := ctx.Err(); err != nil {
				return err
			}
			for x := range wide {
				if x%each == 0 {
					s.places[y*g.p.stretches+x/each] = place{uint32(bit), [3]int32{state}}
				}
				i := y*g.p.means[k].stride + x
				switch {
				case s.from == 0:
					bit, state, ok = s.passFirst(g, k, i, bit, state)
				case s.refines:
					bit, state, ok = s.ac.passRefined(g.p.data, bit, state, &g.known[k][i], s.from, s.to)
				default:
					bit, state, ok = s.ac.passBand(g.p.data, bit, state, &g.known[k][i], s.from, s.to)
				}
				if !ok || bit > s.end {
					return ErrOther
				}
			}
		}
		if s.from > 0 && state != 0 {
			return ErrOther
		}
	} else if err := g.passUnits(ctx, s, &bit); err != nil {
		return err
	}
	return nil
}

// passUnits passes over the first coefficients of several components.
func (g *gradual) passUnits(ctx context.Context, s *scan, bit *int) error {
	p := g.p
	s.places = make([]place, p.down*p.stretches)
	var dc [3]int32
	ok := true
	for unit := range p.across * p.down {
		row, column := unit/p.across, unit%p.across
		if column == 0 {
			if err := ctx.Err(); err != nil {
				return err
			}
		}
		if column%p.stretch == 0 {
			s.places[row*p.stretches+column/p.stretch] = place{uint32(*bit), dc}
		}
		for _, k := range s.components {
			c := &p.components[k]
			for j := range c.h * c.v {
				i := (row*c.v+j/c.h)*p.means[k].stride + column*c.h + j%c.h
				if *bit, dc[k], ok = s.passFirst(g, k, i, *bit, dc[k]); !ok || *bit > s.end {
					return ErrOther
				}
			}
		}
	}
	return nil
}

// passFirst reads the first coefficient of a block, or a bit of it; dc is that of the block before.
func (s *scan) passFirst(g *gradual, k, i, bit int, dc int32) (int, int32, bool) {
	if s.refines {
		g.first[k][i] |= oneBit(g.p.data, bit) << s.low
		return bit + 1, 0, true
	}
	bit, diff := s.dc[k].difference(g.p.data, bit)
	g.first[k][i] = (dc + diff) << s.low
	g.begun[k] = true
	return bit, dc + diff, bit >= 0
}

// blocksOf is how many blocks of a component a scan of it alone goes over.
//
// Source: ITU-T T.81, A.2.2.
func (p *Picture) blocksOf(k int) (wide, high int) {
	c, luma := &p.components[k], &p.components[0]
	wide, high = p.across, p.down
	if c.h == luma.h {
		wide = (p.width + blockSide - 1) / blockSide
	}
	if c.v == luma.v {
		high = (p.height + blockSide - 1) / blockSide
	}
	return wide, high
}

// oneBit is the bit at a place.
func oneBit(data []byte, bit int) int32 { return int32(data[bit>>3]>>(7-bit&7)) & 1 }

// some are the n bits at a place, of which there are 16 at most.
func some(data []byte, bit, n int) int32 { return int32(next(data, bit) >> 1 >> (63 - n)) }

// symbol is the code at a place, and its length; 0 where there is none.
func (t *table) symbol(bits uint64) (code uint8, length int) {
	s := t.one[bits>>(64-lookBits)]
	if s.length == 0 {
		return t.long(bits)
	}
	if s.known {
		return s.code, int(s.length - s.code&15)
	}
	return s.code, int(s.length)
}

// passBand passes over a band of a block, of which nothing was known. So many blocks, this one the first, may have none.
//
// Source: ITU-T T.81, G.1.2.2.
func (t *table) passBand(data []byte, bit int, none int32, known *uint64, from, to int) (int, int32, bool) {
	if none > 0 {
		return bit, none - 1, true
	}
	k := from
	for k <= to {
		code, length := t.symbol(next(data, bit))
		if length == 0 {
			return bit, 0, false
		}
		zero, n := int(code>>4), int(code&15)
		bit += length
		switch {
		case n > 0:
			k += zero
			*known |= 1 << (k & 63)
			bit += n
			k++
		case zero < 15:
			return bit + zero, 1<<zero + some(data, bit, zero) - 1, true
		default:
			k += 16
		}
	}
	return bit, 0, k == to+1
}

// passRefined passes over a bit more of a band of a block. So many blocks, this one the first, may have no new coefficients.
//
// Source: ITU-T T.81, G.1.2.3.
func (t *table) passRefined(data []byte, bit int, none int32, known *uint64, from, to int) (int, int32, bool) {
	k := from
	for none == 0 && k <= to {
		code, length := t.symbol(next(data, bit))
		zero, n := int(code>>4), int(code&15)
		if length == 0 || n > 1 {
			return bit, 0, false
		}
		bit += length
		if n == 0 && zero < 15 {
			none = 1<<zero + some(data, bit, zero)
			bit += zero
			break
		}
		zeros := ^*known >> k << k
		for range zero {
			zeros &= zeros - 1
		}
		at := bits.TrailingZeros64(zeros)
		if at > to {
			return bit, 0, false
		}
		bit += n + at - k - zero // its sign, and a bit for each coefficient that was known
		*known |= uint64(n) << at
		k = at + 1
	}
	if none > 0 {
		none--
		bit += bits.OnesCount64(*known >> k << k << (63 - to))
	}
	return bit, none, true
}
