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
		b.of[at&63] = 0
	}
	b.n = 0
}

// A reader takes the coefficients of a block that has been passed over before.
type reader struct {
	data []byte
	bit  int    // of the next one
	bits uint64 // from there on
	left int    // of them, at least
}

// longest is the length of a code and what may follow it.
const longest = 16 + 15

// coefficient is the next one that is not 0, and its place in zig-zag order after that of the last; beyond 63 there is none. The
// value has not been multiplied by its step of quantisation.
//
// Source: ITU-T T.81, F.2.2.2.
func (r *reader) coefficient(t *table, k int) (at int, value int32) {
	for k++; k < 64; k += 16 {
		if r.left < longest {
			r.bits, r.left = next(r.data, r.bit), 57
		}
		s := t.one[r.bits>>(64-lookBits)]
		code, length, value := int(s.code), int(s.length), int32(s.value)
		if !s.known {
			if length == 0 {
				long, n := t.long(r.bits)
				code, length = int(long), n
			}
			more := code & 15
			value = extend(uint32(r.bits<<length>>(64-more)), more)
			length += more
		}
		r.bit, r.left = r.bit+length, r.left-length
		r.bits <<= length
		if code&15 != 0 {
			return k + code>>4, value
		}
		if code == endOfBlock {
			break
		}
	}
	return 64, 0
}

// block reads a block, whose first coefficient is given.
func (r *reader) block(b *block, first int32, c *component) {
	b.clear()
	b.of[0] = first
	for k := 0; ; {
		var value int32
		if k, value = r.coefficient(c.ac, k); k > 63 {
			return
		}
		at := natural[k]
		b.of[at&63] = value * c.steps[k]
		b.which[b.n&63] = at
		b.n++
	}
}

// means reads the means of the fields of a block, whose first coefficient is given.
func (r *reader) means(m *means, weights *[64]weight, first int32, c *component) {
	*m = means{}
	m.add(&weights[0], first)
	for k := 0; ; {
		var value int32
		if k, value = r.coefficient(c.ac, k); k > 63 {
			return
		}
		m.add(&weights[k], value*c.steps[k])
	}
}
