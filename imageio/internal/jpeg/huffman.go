package jpeg

// lookBits of the data are looked up at once.
const lookBits = 11

// A definition is what a file says of the codes of one kind of symbol. What it takes to read them is derived where a scan uses them,
// once: a file may define thousands that none does.
type definition struct {
	counts [16]byte // of the codes of each length, from 1
	values []byte
	dc     bool
	of     *table
}

// A table holds the codes of one kind of symbol.
//
// A symbol of the kind AC is a number of zeros, in its upper half, and the number of bits that follow the code and say the
// coefficient; of the kind DC it is the number of bits that say the difference from the block before.
type table struct {
	// one is what the next bits say, up to the end of a symbol or of its code.
	one [1 << lookBits]symbol
	// many passes over as many symbols of the kind AC as have their codes within the next bits; nil where nobody asked for it.
	many *[1 << lookBits]passed

	// Codes that are longer: the largest of each length, −1 for none, and what it takes to get from a code to its value.
	largest, toValue [17]int32
	values           []byte
}

// A symbol is what was looked up. Its length is 0 where the code is longer, or not one.
type symbol struct {
	length uint8 // bits of the code, with what follows where value is known
	known  bool
	code   uint8 // the symbol
	value  int16
}

// passed is how many bits and coefficients are passed over.
type passed struct {
	bits, coefficients uint8
	ends               bool // the last symbol ends the block
}

// newDefinition reports whether what is said are codes, none the beginning of another.
//
// Source: ITU-T T.81, annex C.
func newDefinition(counts [16]byte, values []byte, dc bool) (d *definition, ok bool) {
	code := 0
	for i, n := range counts {
		code += int(n)
		if code > 2<<i {
			return nil, false
		}
		code <<= 1
	}
	return &definition{counts: counts, values: values, dc: dc}, true
}

// table derives the codes; nil of none.
//
// Source: ITU-T T.81, annex C.
func (d *definition) table() *table {
	switch {
	case d == nil:
		return nil
	case d.of != nil:
		return d.of
	}
	t := &table{values: d.values}
	d.of = t
	code, index := 0, 0
	for length := 1; length <= 16; length++ {
		n := int(d.counts[length-1])
		t.largest[length] = int32(code + n - 1)
		t.toValue[length] = int32(index - code)
		if n == 0 {
			t.largest[length] = -1
		}
		for ; n > 0; n-- {
			if length <= lookBits {
				t.fill(code, length, d.values[index], d.dc)
			}
			code, index = code+1, index+1
		}
		code <<= 1
	}
	return t
}

// passing is the table with what it takes to pass over many symbols of the kind AC at once.
func (t *table) passing() *table {
	if t != nil && t.many == nil {
		t.many = new([1 << lookBits]passed)
		for i := range t.many {
			t.many[i] = t.pass(uint32(i))
		}
	}
	return t
}

// fill enters a code wherever it stands first.
func (t *table) fill(code, length int, value byte, dc bool) {
	more := int(value & 15)
	if dc {
		more = int(value)
	}
	for rest := range 1 << (lookBits - length) {
		s := symbol{length: uint8(length), code: value}
		if length+more <= lookBits {
			s.length, s.known = uint8(length+more), true
			s.value = int16(extend(uint32(rest>>(lookBits-length-more)), more))
		}
		t.one[code<<(lookBits-length)|rest] = s
	}
}

// extend is the number that so many bits say.
//
// Source: ITU-T T.81, F.2.2.1, figure F.12.
func extend(bits uint32, n int) int32 {
	v := int32(bits)
	if n > 0 && v < 1<<(n-1) {
		v -= 1<<n - 1
	}
	return v
}

// endOfBlock and zeros are symbols of the kind AC without a coefficient; other ones without are for other kinds of picture.
const (
	endOfBlock = 0x00
	zeros      = 0xf0
)

// pass goes as far as the codes reach in lookBits of data.
func (t *table) pass(bits uint32) (p passed) {
	for at := 0; at < lookBits; {
		s := t.one[bits<<at&(1<<lookBits-1)]
		length := int(s.length)
		if s.known {
			length -= int(s.code & 15)
		}
		if length == 0 || at+length > lookBits || s.code&15 == 0 && s.code != endOfBlock && s.code != zeros {
			break
		}
		at += length + int(s.code&15)
		p.bits = uint8(at)
		if p.ends = s.code == endOfBlock; !p.ends {
			p.coefficients += s.code>>4 + 1
		}
		if p.ends || p.coefficients >= 64 {
			break
		}
	}
	return p
}

// long is the symbol of a code that is longer than lookBits, at the upper end of the bits; its length is 0 where there is none. The
// bits do not begin with a shorter one.
func (t *table) long(bits uint64) (code uint8, length int) {
	for length = lookBits + 1; length <= 16; length++ {
		if c := int32(bits >> (64 - length)); c <= t.largest[length] {
			return t.values[c+t.toValue[length]], length
		}
	}
	return 0, 0
}
