package jpeg

// natural is where a coefficient of zig-zag order stands in its block, row by row.
//
// Source: ITU-T T.81, figure A.6.
var natural = [64]uint8{
	0, 1, 8, 16, 9, 2, 3, 10, 17, 24, 32, 25, 18, 11, 4, 5,
	12, 19, 26, 33, 40, 48, 41, 34, 27, 20, 13, 6, 7, 14, 21, 28,
	35, 42, 49, 56, 57, 50, 43, 36, 29, 22, 15, 23, 30, 37, 44, 51,
	58, 59, 52, 45, 38, 31, 39, 46, 53, 60, 61, 54, 47, 55, 62, 63,
}

// A block holds coefficients, times their steps of quantisation.
type block struct {
	of    [64]int32 // row by row
	which [64]uint8 // places of those of them, besides the first, that are not 0
	n     int       // how many
}

func (b *block) clear() {
	for _, at := range b.which[:b.n] {
		b.of[at] = 0
	}
	b.n = 0
}

func (b *block) set(k int, value int32, steps *[64]int32) {
	at := natural[k&63]
	b.of[at] = value * steps[k&63]
	b.which[b.n&63] = at
	b.n++
}

// read takes the coefficients of a block that has been passed over before, all but the first; it returns the difference of that.
//
// Source: ITU-T T.81, F.2.2.
func (b *block) read(data []byte, bit int, c *component) (after int, diff int32) {
	b.clear()
	bit, diff = c.dc.difference(data, bit)
	bits, left := next(data, bit), 57
	for k := 1; k < 64; k++ {
		if left < 16+15 {
			bits, left = next(data, bit), 57
		}
		s := &c.ac.one[bits>>(64-lookBits)]
		code, length, value := s.code, int(s.length), int32(s.value)
		if !s.known {
			if length == 0 {
				code, length = c.ac.long(bits)
			}
			more := int(code & 15)
			value = extend(uint32(bits<<length>>(64-more)), more)
			length += more
		}
		bit, left = bit+length, left-length
		bits <<= length
		if code&15 == 0 {
			if code == endOfBlock {
				return bit, diff
			}
			k += 15
			continue
		}
		k += int(code >> 4)
		b.set(k, value, c.steps)
	}
	return bit, diff
}
