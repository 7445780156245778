package jpeg

import (
	"context"
	"encoding/binary"
)

// stretchBlocks of luma in a row are decoded together, with all that belongs to them.
const stretchBlocks = 8

// A place is where a stretch begins in the coded data, and what the blocks before it leave behind.
type place struct {
	bit uint32
	dc  [3]int32
}

// next returns the data from a bit on, 57 bits of them at least.
func next(data []byte, bit int) uint64 {
	return binary.BigEndian.Uint64(data[bit>>3:]) << (bit & 7)
}

// indexScan passes over the data of the only scan, which begin at a place. It keeps the place of each stretch and the mean of each
// block. What follows the last block, or the last one before a restart, is padding of some encoders.
func (p *Picture) indexScan(ctx context.Context, file []byte, begin int) error {
	end, err := p.take(file, begin, p.restart, p.across*p.down)
	if err != nil || !ended(file, end) {
		return ErrOther
	}
	p.close()
	p.places = make([]place, p.stretches*p.down)
	bit, unit, restarted := 0, 0, 0
	var dc [3]int32
	for row := range p.down {
		if err := ctx.Err(); err != nil {
			return err
		}
		for column := range p.across {
			if p.restart > 0 && unit == p.restart {
				if restarted == len(p.restarts) || (bit+7)/8 > int(p.restarts[restarted]) {
					return ErrOther
				}
				bit, unit, dc = 8*int(p.restarts[restarted]), 0, [3]int32{}
				restarted++
			}
			unit++
			if column%p.stretch == 0 {
				p.places[row*p.stretches+column/p.stretch] = place{uint32(bit), dc}
			}
			for i := range p.components {
				c := &p.components[i]
				means := p.means[i]
				for k := range c.v {
					at := (row*c.v+k)*means.stride + column*c.h
					for j := range c.h {
						var diff int32
						if bit, diff = skip(p.data, bit, c); bit < 0 || bit > p.bits {
							return ErrOther
						}
						dc[i] += diff
						means.codes[at+j] = meanCode(dc[i] * c.steps[0])
					}
				}
			}
		}
	}
	if restarted != len(p.restarts) {
		return ErrOther
	}
	return nil
}

// meanCode is the mean of a block's samples, by its first coefficient.
func meanCode(dc int32) uint8 {
	return uint8(min(max((dc+4)>>3+128, 0), 255))
}

// skip passes over a block, and returns the difference of its mean from that of the block before. What is no block, or might be
// taken for different ones, is told by a negative place.
//
// Source: ITU-T T.81, F.2.2.
func skip(data []byte, bit int, c *component) (after int, diff int32) {
	bit, diff = c.dc.difference(data, bit)
	if bit < 0 {
		return -1, 0
	}
	many := c.ac.many
	for k := 1; ; {
		bits := next(data, bit)
		for range 2 { // lookups take at most lookBits + 15 bits each
			p := &many[bits>>(64-lookBits)]
			to := k + int(p.coefficients)
			if to < 64 && p.bits > 0 {
				bit += int(p.bits)
				if p.ends {
					return bit, diff
				}
				k = to
				bits <<= p.bits
				continue
			}
			if to == 64 && !p.ends && p.bits > 0 {
				return bit + int(p.bits), diff
			}
			step, length := c.ac.step(bits)
			if length == 0 || k+step > 64 {
				return -1, 0
			}
			bit, k = bit+length, k+step
			if k == 64 || step == 0 {
				return bit, diff
			}
			break
		}
	}
}

// step passes over one symbol of the kind AC: near the end of a block what follows may be of the next one. No coefficients are
// the end of the block, and a length of 0 is none that there is.
func (t *table) step(bits uint64) (coefficients, length int) {
	s := t.one[bits>>(64-lookBits)]
	code, length := s.code, int(s.length)
	switch {
	case s.known:
		length -= int(code & 15)
	case length == 0:
		code, length = t.long(bits)
	}
	switch {
	case length == 0, code&15 == 0 && code != endOfBlock && code != zeros:
		return 0, 0
	case code == endOfBlock:
		return 0, length
	}
	return int(code>>4) + 1, length + int(code&15)
}

// difference reads a symbol of the kind DC and what follows it; the place is negative where there is none.
//
// Source: ITU-T T.81, F.2.2.1.
func (t *table) difference(data []byte, bit int) (after int, diff int32) {
	bits := next(data, bit)
	s := &t.one[bits>>(64-lookBits)]
	if s.known {
		return bit + int(s.length), int32(s.value)
	}
	code, length := s.code, int(s.length)
	if length == 0 {
		if code, length = t.long(bits); length == 0 {
			return -1, 0
		}
	}
	if code > 15 {
		return -1, 0
	}
	return bit + length + int(code), extend(uint32(bits<<length>>(64-code)), int(code))
}
