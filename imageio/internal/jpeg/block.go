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

// A coefficient is one that is not 0: its place in zig-zag order, from 1, and its value before it is multiplied by its step of
// quantisation.
type coefficient struct {
	at    int32
	value int32
}

// longest is the length of a code and what may follow it.
const longest = 16 + 15

// coefficients reads those of a block that has been passed over before, all but the first; it returns how many there are, and where
// the next block begins.
//
// Source: ITU-T T.81, F.2.2.2.
func (t *table) coefficients(data []byte, bit int, all *[64]coefficient) (n, after int) {
	bits, left := uint64(0), 0
	for k := 1; k < 64; k++ {
		if left < longest {
			bits, left = next(data, bit), 57
		}
		s := t.one[bits>>(64-lookBits)]
		code, length, value := int(s.code), int(s.length), int32(s.value)
		if !s.known {
			code, length, value = t.unknown(s, bits)
		}
		bit, left = bit+length, left-length
		bits <<= length & 63
		if code&15 == 0 {
			if code == endOfBlock {
				break
			}
			k += 15
			continue
		}
		k += code >> 4
		all[n&63] = coefficient{int32(k), value}
		n++
	}
	return n, bit
}

// addTo is coefficients that are added to means as they are read. The loop stands here again because it is the innermost of decoding.
func (t *table) addTo(m *means, data []byte, bit int, steps *[64]int32, weights *[64]weight) (after int) {
	bits, left := uint64(0), 0
	for k := 1; k < 64; k++ {
		if left < longest {
			bits, left = next(data, bit), 57
		}
		s := t.one[bits>>(64-lookBits)]
		code, length, value := int(s.code), int(s.length), int32(s.value)
		if !s.known {
			code, length, value = t.unknown(s, bits)
		}
		bit, left = bit+length, left-length
		bits <<= length & 63
		if code&15 == 0 {
			if code == endOfBlock {
				break
			}
			k += 15
			continue
		}
		k += code >> 4
		m.add(k, value, steps, weights)
	}
	return bit
}

// unknown reads a symbol of the kind AC with what follows it, where that was not looked up.
func (t *table) unknown(s symbol, bits uint64) (code, length int, value int32) {
	code, length = int(s.code), int(s.length)
	if length == 0 {
		long, n := t.long(bits)
		code, length = int(long), n
	}
	more := code & 15
	return code, length + more, extend(uint32(bits<<length>>(64-more)), more)
}
