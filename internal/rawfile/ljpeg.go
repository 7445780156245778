package rawfile

import "math/bits"

// A Lossless says how samples are coded by lossless JPEG.
type Lossless struct {
	Predictor  int  // 1 to 7; 0 is 1
	Components int  // samples of a mosaic coded as one place; 0 is 2 of a mosaic and 3 of a linear picture
	TwoRows    bool // two components are the places of two rows at once, so that lines are as wide as the mosaic's
	Restart    int  // lines between restart markers; 0 for none
	Shift      int  // point transform: bits that are dropped
	Skewed     bool // the table of codes has very long ones
	Long16     bool // 16 further bits after category 16, as the first version of the format had them
}

// category codes: the number of codes of each length, 1 to 16, and the categories in their order.
type codes struct {
	counts  [16]byte
	symbols []byte
	code    [17]uint32
	length  [17]uint
}

func (l *Lossless) codes() (c codes) {
	if l.Skewed { // 1, 2, … 15 bits, and the last two of 16
		for i := range 15 {
			c.counts[i] = 1
		}
		c.counts[15] = 1
		for i := range 16 { // the most frequent ones of small pictures are in the middle; category 16 cannot be had
			c.symbols = append(c.symbols, byte(15-i))
		}
	} else {
		c.counts[3], c.counts[4], c.counts[5] = 14, 2, 1 // 4 bits for 14, 5 for two, 6 for one
		for i := range 17 {
			c.symbols = append(c.symbols, byte(i))
		}
	}
	code, at := uint32(0), 0
	for length, n := range c.counts {
		for range n {
			s := c.symbols[at]
			c.code[s], c.length[s] = code, uint(length+1)
			code++
			at++
		}
		code <<= 1
	}
	return c
}

// bitWriter packs bits, a zero behind each byte of ones.
type bitWriter struct {
	out  []byte
	held uint64
	n    uint
}

func (w *bitWriter) put(v uint32, n uint) {
	w.held = w.held<<n | uint64(v)&(1<<n-1)
	w.n += n
	for w.n >= 8 {
		b := byte(w.held >> (w.n - 8))
		w.out = append(w.out, b)
		if b == 0xff {
			w.out = append(w.out, 0)
		}
		w.n -= 8
	}
}

// flush fills the last byte with ones.
func (w *bitWriter) flush() {
	if w.n > 0 {
		w.put(1<<(8-w.n)-1, 8-w.n)
	}
}

// encode codes lines of so many places of components each. Samples have so many bits.
func (l *Lossless) encode(samples []uint16, wide, high, components, depth int) []byte {
	predictor := max(l.Predictor, 1)
	c := l.codes()
	w := bitWriter{out: []byte{0xff, 0xd8}}
	segment := func(marker byte, body ...byte) {
		w.out = append(w.out, 0xff, marker, byte((len(body)+2)>>8), byte(len(body)+2))
		w.out = append(w.out, body...)
	}
	table := append([]byte{0}, c.counts[:]...)
	segment(0xc4, append(table, c.symbols...)...)
	frame := []byte{byte(depth), byte(high >> 8), byte(high), byte(wide >> 8), byte(wide), byte(components)}
	scan := []byte{byte(components)}
	for i := range components {
		frame = append(frame, byte(i), 0x11, 0)
		scan = append(scan, byte(i), 0)
	}
	segment(0xc3, frame...)
	if l.Restart > 0 {
		n := l.Restart * wide
		segment(0xdd, byte(n>>8), byte(n))
	}
	segment(0xda, append(scan, byte(predictor), 0, byte(l.Shift))...)
	line := wide * components
	at := func(i int) int { return int(samples[i]) >> l.Shift }
	restarts := 0
	for y := range high {
		first := y == 0
		if l.Restart > 0 && y > 0 && y%l.Restart == 0 {
			w.flush()
			w.out = append(w.out, 0xff, 0xd0+byte(restarts%8))
			restarts++
			first = true
		}
		for x := range line {
			i := y*line + x
			var guess int
			switch {
			case first && x < components:
				guess = 1 << (depth - l.Shift - 1)
			case first:
				guess = at(i - components)
			case x < components:
				guess = at(i - line)
			default:
				guess = predict(predictor, at(i-components), at(i-line), at(i-line-components))
			}
			w.difference(int16(uint16(at(i)-guess)), &c, l.Long16)
		}
	}
	w.flush()
	return append(w.out, 0xff, 0xd9)
}

// predict is table H.1 of T.81.
func predict(by, left, above, corner int) int {
	return [...]int{1: left, 2: above, 3: corner, 4: left + above - corner, 5: left + (above-corner)>>1, 6: above + (left-corner)>>1,
		7: (left + above) >> 1}[by]
}

func (w *bitWriter) difference(d int16, c *codes, long bool) {
	size, v := uint(0), int32(d)
	if v < 0 {
		size = uint(bits.Len32(uint32(-v)))
		v--
	} else {
		size = uint(bits.Len32(uint32(v)))
	}
	w.put(c.code[size], c.length[size])
	if size == 16 {
		if long {
			w.put(0x7fff, 16) // -32768
		}
		return
	}
	w.put(uint32(v), size)
}
